-- people.0001_people_shop_terms
-- account.0001_initial
-- account.0002_email_max_length
-- account.0003_alter_emailaddress_create_unique_verified_email
-- account.0004_alter_emailaddress_drop_unique_email
-- account.0005_emailaddress_idx_upper_email
-- account.0006_emailaddress_lower
-- account.0007_emailaddress_idx_email
-- account.0008_emailaddress_unique_primary_email_fixup
-- account.0009_emailaddress_unique_primary_email
-- contenttypes.0001_initial
-- contenttypes.0002_remove_content_type_name
-- auth.0001_initial
-- auth.0002_alter_permission_name_max_length
-- auth.0003_alter_user_email_max_length
-- auth.0004_alter_user_username_opts
-- auth.0005_alter_user_last_login_null
-- auth.0006_require_contenttypes_0002
-- auth.0007_alter_validators_add_error_messages
-- auth.0008_alter_user_username_max_length
-- auth.0009_alter_user_last_name_max_length
-- auth.0010_alter_group_name_max_length
-- auth.0011_update_proxy_permissions
-- auth.0012_alter_user_first_name_max_length
-- people.0002_suspects_may_be_hidden
-- people.0003_stations
-- people.0004_people_sign_in
-- people.0005_the_shops_own
-- people.0006_what_an_hour_costs
-- people.0007_texts_of_messages
-- people.0008_what_is_untaxed
-- people.0009_auditors_have_a_last_day
-- people.0010_rates_by_kind_and_person
-- people.0011_office_limits_are_dated
-- people.0012_zone_changes_are_dated
-- people.0013_texts_of_accounts_and_reminders
-- intake.0001_customers_devices_tickets
-- intake.0002_old_numbers
-- intake.0003_passcodes_are_sealed
-- intake.0004_tickets_that_came_together
-- intake.0005_places
-- intake.0006_slip_links
-- intake.0007_wants_no_messages
-- intake.0008_drafts_signatures_joining
-- intake.0009_how_a_ticket_ends
-- intake.0010_outage_packs
-- intake.0011_erasing_leaves_a_day
-- intake.0012_how_customers_are_taxed
-- intake.0013_reassembly_is_agreed
-- intake.0014_account_customers
-- intake.0015_accounts_are_append_only
-- intake.0016_express_is_agreed
-- intake.0017_handovers_by_day
-- intake.0018_year_a_machine_was_made
-- intake.0019_tickets_opened
-- records.0001_events_notes_numbers
-- records.0002_events_are_append_only
-- records.0003_shared_cache
-- records.0004_jobs_and_doubts
-- records.0005_messages_are_worded
-- billing.0001_time_parts_papers
-- billing.0002_papers_are_append_only
-- billing.0003_days_are_confirmed
-- billing.0004_quotes_are_drafted
-- billing.0005_invoices_are_electronic
-- billing.0006_papers_let_names_go
-- billing.0007_monthly_invoices
-- billing.0008_payments_say_more
-- billing.0009_quotes_have_options
-- billing.0010_loan_devices
-- billing.0011_shelves
-- billing.0012_lots_from_moves
-- billing.0013_draws_counts_claims_stand
-- billing.0014_line_moves_and_paid_sums
-- billing.0015_invoices_by_what_they_bill
-- billing.0016_sums_for_the_office
-- billing.0017_supplier_number_of_a_part
-- billing.0018_sums_of_till_and_shelf
-- billing.0019_quotes_keep_their_seller
-- books.0001_till_reminders_accounts
-- books.0002_rows_are_append_only
-- books.0003_loan_deposits_in_the_till
-- books.0004_deposits_counted_before
-- books.0005_day_deposits_stand
-- photos.0001_photos_and_links
-- diagnostics.0001_boards_readings_findings
-- diagnostics.0002_readings_are_append_only
-- diagnostics.0003_meters_are_kept_by_row
-- diagnostics.0004_good_readings_are_kept
-- diagnostics.0005_what_is_known_of_the_disk
-- diagnostics.0006_part_tests
-- diagnostics.0007_calculations
-- diagnostics.0008_leads_of_the_day
-- diagnostics.0009_words_and_sightings
-- diagnostics.0010_back_again
-- diagnostics.0011_machine_runs
-- diagnostics.0012_pictures_and_marks
-- diagnostics.0013_conditions_and_passing_by
-- diagnostics.0014_readings_from_tablets
-- diagnostics.0015_parts_taken_off
-- diagnostics.0016_proof_by_taps
-- diagnostics.0017_donors_have_papers
-- diagnostics.0018_readings_from_paper
-- diagnostics.0019_families_are_offered
-- diagnostics.0020_what_a_person_did
-- diagnostics.0021_boards_of_a_model
-- intake.0020_accounts_are_found
-- mfa.0001_initial
-- mfa.0002_authenticator_timestamps
-- mfa.0003_authenticator_type_uniq
-- office.0001_days_of_tickets
-- office.0002_weekly_sheets
-- opening.0001_steps_and_imports
-- photos.0002_what_a_person_did
-- printing.0001_printers_and_waiting_papers
-- records.0006_events_by_moment_and_person
-- records.0007_events_of_a_person_in_a_shop
-- records.0008_messages_to_an_account
-- records.0009_failed_messages_are_found
-- records.0010_what_a_person_did
-- records.0011_events_about_a_person
-- rights.0001_periods
-- searching.0001_a_text_for_every_ticket
-- searching.0002_trigrams
-- searching.0003_signs_that_an_index_knows
-- searching.0004_every_word_once
-- sessions.0001_initial

CREATE TABLE "django_migrations" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "app" varchar(255) NOT NULL, "name" varchar(255) NOT NULL, "applied" datetime NOT NULL);
CREATE TABLE "people_markuptier" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "cost_below_minor" bigint NULL, "percent" integer unsigned NOT NULL CHECK ("percent" >= 0), "minimum_minor" bigint NOT NULL, "terms_id" bigint NOT NULL REFERENCES "people_terms" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "one_tier_for_a_cost" UNIQUE ("terms_id", "cost_below_minor"));
CREATE TABLE "account_emailconfirmation" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "created" datetime NOT NULL, "sent" datetime NULL, "key" varchar(64) NOT NULL UNIQUE, "email_address_id" integer NOT NULL REFERENCES "account_emailaddress" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "account_emailaddress" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "verified" bool NOT NULL, "primary" bool NOT NULL, "user_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "email" varchar(254) NOT NULL);
CREATE TABLE "django_content_type" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "app_label" varchar(100) NOT NULL, "model" varchar(100) NOT NULL);
CREATE TABLE "auth_group_permissions" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "group_id" integer NOT NULL REFERENCES "auth_group" ("id") DEFERRABLE INITIALLY DEFERRED, "permission_id" integer NOT NULL REFERENCES "auth_permission" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "auth_permission" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "content_type_id" integer NOT NULL REFERENCES "django_content_type" ("id") DEFERRABLE INITIALLY DEFERRED, "codename" varchar(100) NOT NULL, "name" varchar(255) NOT NULL);
CREATE TABLE "auth_group" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(150) NOT NULL UNIQUE);
CREATE TABLE "people_person" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "password" varchar(128) NOT NULL, "last_login" datetime NULL, "username" varchar(150) NOT NULL UNIQUE, "name" varchar(200) NOT NULL, "email" varchar(254) NOT NULL, "language" varchar(10) NOT NULL, "is_active" bool NOT NULL, "joined_at" datetime NOT NULL, "hides_suspects" bool NOT NULL, "must_change_password" bool NOT NULL, "session_epoch" integer unsigned NOT NULL CHECK ("session_epoch" >= 0));
CREATE TABLE "people_station" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(60) NOT NULL, "is_bench" bool NOT NULL, "token_hash" varchar(64) NOT NULL UNIQUE, "enrolled_at" datetime NOT NULL, "ended_at" datetime NULL, "enrolled_by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "seen_at" datetime NULL, "wrong_tries" integer unsigned NOT NULL CHECK ("wrong_tries" >= 0));
CREATE TABLE "people_badge" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "token_hash" varchar(64) NOT NULL UNIQUE, "made_at" datetime NOT NULL, "ended_at" datetime NULL, "made_by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "person_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "people_lateswitch" ("key" varchar(64) NOT NULL PRIMARY KEY, "switched_at" datetime NOT NULL, "received_at" datetime NOT NULL, "is_confirmed" bool NOT NULL, "person_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "station_id" bigint NOT NULL REFERENCES "people_station" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "people_pin" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "keyed_hash" varchar(200) NOT NULL, "set_at" datetime NOT NULL, "wrong_tries" integer unsigned NOT NULL CHECK ("wrong_tries" >= 0), "person_id" bigint NOT NULL UNIQUE REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "people_shop" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(200) NOT NULL, "street" varchar(200) NOT NULL, "town" varchar(200) NOT NULL, "country" varchar(2) NOT NULL, "phone" varchar(40) NOT NULL, "email" varchar(254) NOT NULL, "tax_id" varchar(40) NOT NULL, "account" varchar(60) NOT NULL, "currency" varchar(3) NOT NULL, "time_zone" varchar(60) NOT NULL, "paper_size" varchar(10) NOT NULL, "backup_place" varchar(300) NOT NULL, "languages" varchar(80) NOT NULL, "rolls" varchar(40) NOT NULL, "version" integer unsigned NOT NULL CHECK ("version" >= 0));
CREATE TABLE "people_logo" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "png" BLOB NOT NULL, "kept_at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "people_textsread" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "people_closedday" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "first" date NOT NULL, "last" date NOT NULL, "name" varchar(80) NOT NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "closed_days_end_after_they_begin" CHECK ("last" >= ("first")));
CREATE TABLE "people_openinghours" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "weekday" smallint unsigned NOT NULL CHECK ("weekday" >= 0), "opens" time NOT NULL, "closes" time NOT NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_shop_closes_after_it_opens" CHECK (("closes" > ("opens") OR "closes" = '00:00:00')), CONSTRAINT "a_week_has_seven_days" CHECK ("weekday" <= 6));
CREATE TABLE "people_shoptext" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "kind" varchar(20) NOT NULL, "language" varchar(10) NOT NULL, "text" text NOT NULL, "is_ours" bool NOT NULL, "made_at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "people_membership" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "role" varchar(20) NOT NULL, "since" datetime NOT NULL, "person_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "ends_on" date NULL, CONSTRAINT "a_role_is_held_once" UNIQUE ("shop_id", "person_id", "role"), CONSTRAINT "an_auditor_has_a_last_day" CHECK ((NOT ("role" = 'auditor') OR "ends_on" IS NOT NULL)), CONSTRAINT "the_role_is_known" CHECK ("role" IN ('front_desk', 'technician', 'owner', 'auditor')));
CREATE TABLE "people_terms" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "valid_from" datetime NOT NULL, "hourly_rate_minor" bigint NOT NULL, "increment_minutes" integer unsigned NOT NULL CHECK ("increment_minutes" >= 0), "diagnosis_fee_minor" bigint NOT NULL, "diagnosis_minutes" integer unsigned NOT NULL CHECK ("diagnosis_minutes" >= 0), "fee_rule" varchar(10) NOT NULL, "consumables_minor" bigint NOT NULL, "tax_basis_points" integer unsigned NOT NULL CHECK ("tax_basis_points" >= 0), "cap_percent" integer unsigned NOT NULL CHECK ("cap_percent" >= 0), "quote_valid_days" integer unsigned NOT NULL CHECK ("quote_valid_days" >= 0), "payment_days" integer unsigned NOT NULL CHECK ("payment_days" >= 0), "warranty_days" integer unsigned NOT NULL CHECK ("warranty_days" >= 0), "liquid_warranty_days" integer unsigned NOT NULL CHECK ("liquid_warranty_days" >= 0), "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "first_word_days" integer unsigned NOT NULL CHECK ("first_word_days" >= 0), "prices_with_tax" bool NOT NULL, "tax_name" varchar(20) NOT NULL, "cost_rate_minor" bigint NULL, "quote_reminder_days" integer unsigned NOT NULL CHECK ("quote_reminder_days" >= 0), "unclaimed_first_days" integer unsigned NOT NULL CHECK ("unclaimed_first_days" >= 0), "unclaimed_last_days" integer unsigned NOT NULL CHECK ("unclaimed_last_days" >= 0), "unclaimed_second_days" integer unsigned NOT NULL CHECK ("unclaimed_second_days" >= 0), "untaxed_as" varchar(2) NOT NULL, "untaxed_reason" varchar(200) NOT NULL, "express_percent" integer unsigned NOT NULL CHECK ("express_percent" >= 0), "minimum_minor" bigint NOT NULL, "no_fix_rule" varchar(10) NOT NULL, CONSTRAINT "one_set_of_terms_at_a_time" UNIQUE ("shop_id", "valid_from"), CONSTRAINT "tax_is_at_most_the_whole_price" CHECK ("tax_basis_points" <= 10000), CONSTRAINT "rates_are_not_negative" CHECK (("diagnosis_fee_minor" >= 0 AND "hourly_rate_minor" >= 0)), CONSTRAINT "flat_charges_are_not_negative" CHECK (("consumables_minor" >= 0 AND "minimum_minor" >= 0)));
CREATE TABLE "people_fixedjob" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(120) NOT NULL, "price_minor" bigint NOT NULL, "minutes" integer unsigned NOT NULL CHECK ("minutes" >= 0), "terms_id" bigint NOT NULL REFERENCES "people_terms" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_fixed_job_is_named_once" UNIQUE ("terms_id", "name"), CONSTRAINT "a_fixed_price_is_not_negative" CHECK ("price_minor" >= 0));
CREATE TABLE "people_labourrate" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "kind" varchar(20) NOT NULL, "rate_minor" bigint NOT NULL, "person_id" bigint NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "terms_id" bigint NOT NULL REFERENCES "people_terms" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "one_rate_for_kind_and_person" UNIQUE ("terms_id", "kind", "person_id"), CONSTRAINT "a_labour_rate_is_not_negative" CHECK ("rate_minor" >= 0), CONSTRAINT "a_labour_rate_is_of_a_kind_or_person" CHECK (NOT ("kind" = '' AND "person_id" IS NULL)));
CREATE TABLE "people_officelimits" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "valid_from" datetime NOT NULL, "untouched_days" integer unsigned NOT NULL CHECK ("untouched_days" >= 0), "unanswered_days" integer unsigned NOT NULL CHECK ("unanswered_days" >= 0), "owed_days" integer unsigned NOT NULL CHECK ("owed_days" >= 0), "set_at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_limit_of_the_office_is_a_day_at_least" CHECK (("owed_days" >= 1 AND "unanswered_days" >= 1 AND "untouched_days" >= 1)));
CREATE TABLE "people_zonechange" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "at" datetime NOT NULL, "before" varchar(60) NOT NULL, "after" varchar(60) NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "intake_consent" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "purpose" varchar(20) NOT NULL, "answer" varchar(20) NOT NULL, "at" datetime NOT NULL, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "intake_thing" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "tag" smallint unsigned NOT NULL CHECK ("tag" >= 0), "kind" varchar(20) NOT NULL, "label" varchar(80) NOT NULL, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_tag_is_used_once_a_ticket" UNIQUE ("ticket_id", "tag"));
CREATE TABLE "intake_outcome" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "kind" varchar(20) NOT NULL, "no_fix_reason" varchar(20) NOT NULL, "at" datetime NOT NULL, "ticket_id" bigint NOT NULL UNIQUE REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "no_fix_says_why" CHECK ((NOT ("kind" = 'no_fix') OR NOT ("no_fix_reason" = ''))));
CREATE TABLE "intake_passcode" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "kind" varchar(20) NOT NULL, "sealed" text NOT NULL, "kept_at" datetime NOT NULL, "erased_at" datetime NULL, "version" integer unsigned NOT NULL CHECK ("version" >= 0), "kept_by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL UNIQUE REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "intake_place" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(20) NOT NULL, "kind" varchar(20) NOT NULL, "made_at" datetime NOT NULL, "ended_at" datetime NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "intake_sliplink" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "random" varchar(32) NOT NULL, "id_hash" varchar(64) NOT NULL UNIQUE, "made_at" datetime NOT NULL, "expires_at" datetime NOT NULL, "revoked_at" datetime NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "intake_intakedraft" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "key" char(32) NOT NULL UNIQUE, "sealed" text NOT NULL, "saved_at" datetime NOT NULL, "ended_at" datetime NULL, "person_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "station_id" bigint NULL REFERENCES "people_station" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "intake_handover" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "at" datetime NOT NULL, "given_to" varchar(200) NOT NULL, "owing_reason" varchar(200) NOT NULL, "ticket_id" bigint NOT NULL UNIQUE REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "is_undone" bool NOT NULL, "drive" varchar(20) NOT NULL, "missing" varchar(200) NOT NULL, "price_minor" bigint NULL, "tracking" varchar(60) NOT NULL, "way" varchar(20) NOT NULL, CONSTRAINT "what_stays_says_where_its_drive_is" CHECK ((NOT ("way" IN ('recycle', 'sold', 'left')) OR NOT ("drive" = ''))), CONSTRAINT "only_what_is_sold_has_a_price" CHECK (("price_minor" IS NULL OR ("price_minor" >= 0 AND "way" = 'sold'))));
CREATE TABLE "intake_signature" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "sealed" text NOT NULL, "at" datetime NOT NULL, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "about" varchar(20) NOT NULL, CONSTRAINT "a_paper_is_signed_once" UNIQUE ("ticket_id", "about"));
CREATE TABLE "intake_outagepack" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "printed_at" datetime NOT NULL, "printed_by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "intake_paperslip" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "serial" bigint unsigned NOT NULL CHECK ("serial" >= 0), "number" varchar(20) NOT NULL, "typed_at" datetime NULL, "void_reason" varchar(20) NOT NULL, "voided_at" datetime NULL, "pack_id" bigint NOT NULL REFERENCES "intake_outagepack" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "taken_by_id" bigint NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL UNIQUE REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "typed_by_id" bigint NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "voided_by_id" bigint NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_paper_number_is_reserved_once" UNIQUE ("shop_id", "number"), CONSTRAINT "what_was_typed_in_is_not_void" CHECK (("ticket_id" IS NULL OR "void_reason" = '')), CONSTRAINT "what_was_typed_in_says_when" CHECK ((("ticket_id" IS NULL AND "typed_at" IS NULL) OR ("ticket_id" IS NOT NULL AND "typed_at" IS NOT NULL))), CONSTRAINT "what_is_void_says_why_and_when" CHECK ((("void_reason" = '' AND "voided_at" IS NULL) OR (NOT ("void_reason" = '') AND "voided_at" IS NOT NULL))));
CREATE TABLE "intake_customer" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(200) NOT NULL, "phone_typed" varchar(200) NOT NULL, "phone_e164" varchar(20) NOT NULL, "email" varchar(254) NOT NULL, "address" text NOT NULL, "channel" varchar(10) NOT NULL, "language" varchar(10) NOT NULL, "tax_id" varchar(40) NOT NULL, "is_account" bool NOT NULL, "since" datetime NOT NULL, "version" integer unsigned NOT NULL CHECK ("version" >= 0), "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "erased_at" datetime NULL, "country" varchar(2) NOT NULL, "taxed" varchar(2) NOT NULL, "joined_to_id" bigint NULL REFERENCES "intake_customer" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "intake_device" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "kind" varchar(20) NOT NULL, "model" varchar(120) NOT NULL, "serial" varchar(80) NOT NULL, "board_number_seen" varchar(80) NOT NULL, "version" integer unsigned NOT NULL CHECK ("version" >= 0), "customer_id" bigint NOT NULL REFERENCES "intake_customer" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "contact" varchar(200) NOT NULL, "year_made" smallint unsigned NULL CHECK ("year_made" >= 0));
CREATE TABLE "intake_accountprices" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "valid_from" datetime NOT NULL, "currency" varchar(3) NOT NULL, "hourly_rate_minor" bigint NULL, "diagnosis_fee_minor" bigint NULL, "markup_percent" integer unsigned NULL CHECK ("markup_percent" >= 0), "discount_basis_points" integer unsigned NOT NULL CHECK ("discount_basis_points" >= 0), "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "customer_id" bigint NOT NULL REFERENCES "intake_customer" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "account_prices_are_not_negative" CHECK ((("hourly_rate_minor" IS NULL OR "hourly_rate_minor" >= 0) AND ("diagnosis_fee_minor" IS NULL OR "diagnosis_fee_minor" >= 0))), CONSTRAINT "a_discount_is_at_most_the_whole_price" CHECK ("discount_basis_points" <= 10000));
CREATE TABLE "intake_accountterms" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "valid_from" datetime NOT NULL, "is_open" bool NOT NULL, "payment_days" integer unsigned NOT NULL CHECK ("payment_days" >= 0), "currency" varchar(3) NOT NULL, "standing_cap_minor" bigint NULL, "credit_limit_minor" bigint NULL, "order_number" varchar(80) NOT NULL, "needs_order" bool NOT NULL, "billing_contact" varchar(200) NOT NULL, "billing_email" varchar(254) NOT NULL, "language" varchar(10) NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "customer_id" bigint NOT NULL REFERENCES "intake_customer" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "account_amounts_are_not_negative" CHECK ((("standing_cap_minor" IS NULL OR "standing_cap_minor" >= 0) AND ("credit_limit_minor" IS NULL OR "credit_limit_minor" >= 0))));
CREATE TABLE "intake_ticket" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "serial" bigint unsigned NOT NULL CHECK ("serial" >= 0), "number" varchar(20) NOT NULL, "intake_kind" varchar(20) NOT NULL, "goal" varchar(20) NOT NULL, "opened_at" datetime NOT NULL, "their_reference" varchar(80) NOT NULL, "liquid" varchar(20) NOT NULL, "dropped" varchar(20) NOT NULL, "hot_or_swollen" varchar(20) NOT NULL, "opened_before" varchar(20) NOT NULL, "currency" varchar(3) NOT NULL, "diagnosis_fee_minor" bigint NOT NULL, "diagnosis_minutes" integer unsigned NOT NULL CHECK ("diagnosis_minutes" >= 0), "fee_rule" varchar(10) NOT NULL, "pre_approved_minor" bigint NULL, "version" integer unsigned NOT NULL CHECK ("version" >= 0), "customer_id" bigint NOT NULL REFERENCES "intake_customer" ("id") DEFERRABLE INITIALLY DEFERRED, "device_id" bigint NOT NULL REFERENCES "intake_device" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "old_number" varchar(40) NOT NULL, "tracking" varchar(60) NOT NULL, "fee_agreed" varchar(20) NOT NULL, "triage" varchar(60) NOT NULL, "erased_at" datetime NULL, "reassembly" varchar(20) NOT NULL, "reassembly_minor" bigint NULL, "order_number" varchar(80) NOT NULL, "express_percent" integer unsigned NOT NULL CHECK ("express_percent" >= 0), "returns_to_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "came_with_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_ticket_number_is_given_once" UNIQUE ("shop_id", "number"), CONSTRAINT "agreed_amounts_are_not_negative" CHECK (("diagnosis_fee_minor" >= 0 AND ("pre_approved_minor" IS NULL OR "pre_approved_minor" >= 0))), CONSTRAINT "reassembly_has_a_price_if_agreed" CHECK (("reassembly_minor" IS NULL OR ("reassembly" = 'yes' AND "reassembly_minor" >= 0))));
CREATE TABLE "records_keptanswer" ("key" varchar(64) NOT NULL PRIMARY KEY, "person_id" bigint NULL, "request_hash" varchar(64) NOT NULL, "status" smallint unsigned NULL CHECK ("status" >= 0), "headers" text NOT NULL CHECK ((JSON_VALID("headers") OR "headers" IS NULL)), "body" text NOT NULL, "kept_at" datetime NOT NULL);
CREATE TABLE "records_lease" ("name" varchar(40) NOT NULL PRIMARY KEY, "holder" varchar(80) NOT NULL, "until" datetime NOT NULL);
CREATE TABLE "records_note" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "shop_id" bigint NOT NULL, "ticket_id" bigint NULL, "kind" varchar(40) NOT NULL, "text" text NOT NULL, "at" datetime NOT NULL, "erased_at" datetime NULL, "by_id" bigint NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_event" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "shop_id" bigint NOT NULL, "kind" varchar(40) NOT NULL, "ticket_id" bigint NULL, "board_id" bigint NULL, "reading_id" bigint NULL, "person_id" bigint NULL, "at" datetime NOT NULL, "recorded_at" datetime NOT NULL, "ids" text NOT NULL CHECK ((JSON_VALID("ids") OR "ids" IS NULL)), "codes" text NOT NULL CHECK ((JSON_VALID("codes") OR "codes" IS NULL)), "amounts" text NOT NULL CHECK ((JSON_VALID("amounts") OR "amounts" IS NULL)), "by_id" bigint NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "note_id" bigint NULL REFERENCES "records_note" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "records_numberseries" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "shop_id" bigint NOT NULL, "kind" varchar(40) NOT NULL, "next_number" bigint NOT NULL, CONSTRAINT "one_series_of_a_kind" UNIQUE ("shop_id", "kind"), CONSTRAINT "numbers_are_positive" CHECK ("next_number" >= 1));
CREATE TABLE "records_shared_cache" (
    "cache_key" varchar(255) NOT NULL PRIMARY KEY,
    "value" text NOT NULL,
    "expires" datetime NOT NULL
);
CREATE TABLE "records_jobrun" ("name" varchar(40) NOT NULL PRIMARY KEY, "next_at" datetime NOT NULL, "started_at" datetime NULL, "ended_at" datetime NULL, "went_well_at" datetime NULL, "failures" integer unsigned NOT NULL CHECK ("failures" >= 0), "last_error" varchar(200) NOT NULL);
CREATE TABLE "records_outgoingmessage" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "shop_id" bigint NOT NULL, "ticket_id" bigint NULL, "message_id" varchar(120) NOT NULL UNIQUE, "channel" varchar(20) NOT NULL, "to" varchar(320) NOT NULL, "subject" varchar(200) NOT NULL, "text" text NOT NULL, "queued_at" datetime NOT NULL, "next_try_at" datetime NOT NULL, "tries" integer unsigned NOT NULL CHECK ("tries" >= 0), "sent_at" datetime NULL, "given_up_at" datetime NULL, "last_error" varchar(200) NOT NULL, "begun_at" datetime NULL, "doubts" smallint unsigned NOT NULL CHECK ("doubts" >= 0), "sent_by" varchar(20) NOT NULL, "about_event_id" bigint NULL, "kind" varchar(20) NOT NULL, "paper" varchar(60) NOT NULL, "reply_to" varchar(320) NOT NULL, "withheld" varchar(20) NOT NULL, "customer_id" bigint NULL);
CREATE TABLE "billing_invoiceline" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "position" smallint unsigned NOT NULL CHECK ("position" >= 0), "code" varchar(40) NOT NULL, "text" varchar(200) NOT NULL, "quantity_thousandths" bigint NOT NULL, "unit" varchar(3) NOT NULL, "unit_price_ten_thousandths" bigint NOT NULL, "tax_category" varchar(2) NOT NULL, "tax_basis_points" integer unsigned NOT NULL CHECK ("tax_basis_points" >= 0), "net_minor" bigint NOT NULL, "currency" varchar(3) NOT NULL, "invoice_id" bigint NOT NULL REFERENCES "billing_invoice" ("id") DEFERRABLE INITIALLY DEFERRED, "corrects_id" bigint NULL REFERENCES "billing_invoiceline" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "an_invoice_line_has_its_place" UNIQUE ("invoice_id", "position"));
CREATE TABLE "billing_quoteline" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "position" smallint unsigned NOT NULL CHECK ("position" >= 0), "code" varchar(40) NOT NULL, "text" varchar(200) NOT NULL, "quantity_thousandths" bigint NOT NULL, "unit" varchar(3) NOT NULL, "unit_price_ten_thousandths" bigint NOT NULL, "tax_category" varchar(2) NOT NULL, "tax_basis_points" integer unsigned NOT NULL CHECK ("tax_basis_points" >= 0), "net_minor" bigint NOT NULL, "currency" varchar(3) NOT NULL, "quote_id" bigint NOT NULL REFERENCES "billing_quote" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_quote_line_has_its_place" UNIQUE ("quote_id", "position"));
CREATE TABLE "billing_stockmove" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "quantity" integer NOT NULL, "lot" varchar(40) NOT NULL, "cost_minor" bigint NOT NULL, "why" varchar(20) NOT NULL, "expires_at" datetime NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "item_id" bigint NOT NULL REFERENCES "billing_stockitem" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "reverses_id" bigint NULL UNIQUE REFERENCES "billing_stockmove" ("id") DEFERRABLE INITIALLY DEFERRED, "order_line_id" bigint NULL REFERENCES "billing_orderline" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_move_moves_something" CHECK (NOT ("quantity" = 0)));
CREATE TABLE "billing_partuse" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(120) NOT NULL, "part_id" varchar(40) NOT NULL, "quantity" integer NOT NULL, "currency" varchar(3) NOT NULL, "cost_minor" bigint NOT NULL, "price_minor" bigint NOT NULL, "is_salvaged" bool NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "move_id" bigint NULL UNIQUE REFERENCES "billing_stockmove" ("id") DEFERRABLE INITIALLY DEFERRED, "reverses_id" bigint NULL UNIQUE REFERENCES "billing_partuse" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "only_a_reversal_takes_a_part_back" CHECK ((("quantity" > 0 AND "reverses_id" IS NULL) OR ("quantity" < 0 AND "reverses_id" IS NOT NULL))), CONSTRAINT "part_prices_are_not_negative" CHECK (("cost_minor" >= 0 AND "price_minor" >= 0)));
CREATE TABLE "billing_timeentry" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "kind" varchar(20) NOT NULL, "minutes" integer NOT NULL, "started_at" datetime NOT NULL, "person_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "reverses_id" bigint NULL UNIQUE REFERENCES "billing_timeentry" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "only_a_reversal_takes_minutes_back" CHECK ((("minutes" > 0 AND "reverses_id" IS NULL) OR ("minutes" < 0 AND "reverses_id" IS NOT NULL))));
CREATE TABLE "billing_confirmedday" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "day" date NOT NULL, "round" smallint unsigned NOT NULL CHECK ("round" >= 0), "seen" text NOT NULL CHECK ((JSON_VALID("seen") OR "seen" IS NULL)), "entries" text NOT NULL CHECK ((JSON_VALID("entries") OR "entries" IS NULL)), "newest_entry" bigint NOT NULL, "is_whole" bool NOT NULL, "until" datetime NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "person_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_day_is_confirmed_once_a_round" UNIQUE ("shop_id", "person_id", "day", "round"));
CREATE TABLE "billing_quotedraftline" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "position" smallint unsigned NOT NULL CHECK ("position" >= 0), "code" varchar(40) NOT NULL, "text" varchar(200) NOT NULL, "quantity_thousandths" bigint NOT NULL, "unit" varchar(3) NOT NULL, "unit_price_ten_thousandths" bigint NOT NULL, "tax_category" varchar(2) NOT NULL, "tax_basis_points" integer unsigned NOT NULL CHECK ("tax_basis_points" >= 0), "net_minor" bigint NOT NULL, "currency" varchar(3) NOT NULL, "draft_id" bigint NOT NULL REFERENCES "billing_quotedraft" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_draft_line_has_its_place" UNIQUE ("draft_id", "position"));
CREATE TABLE "billing_invoicetax" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "category" varchar(2) NOT NULL, "basis_points" integer unsigned NOT NULL CHECK ("basis_points" >= 0), "currency" varchar(3) NOT NULL, "taxable_minor" bigint NOT NULL, "tax_minor" bigint NOT NULL, "invoice_id" bigint NOT NULL REFERENCES "billing_invoice" ("id") DEFERRABLE INITIALLY DEFERRED, "reason" varchar(200) NOT NULL, CONSTRAINT "one_tax_sum_for_a_rate" UNIQUE ("invoice_id", "category", "basis_points"));
CREATE TABLE "billing_accountinvoice" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "month" date NOT NULL, "customer_id" bigint NOT NULL REFERENCES "intake_customer" ("id") DEFERRABLE INITIALLY DEFERRED, "invoice_id" bigint NOT NULL UNIQUE REFERENCES "billing_invoice" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "billing_billedticket" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "invoice_id" bigint NOT NULL REFERENCES "billing_invoice" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL UNIQUE REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "billing_invoice" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "kind" varchar(20) NOT NULL, "number" varchar(30) NOT NULL, "serial" bigint unsigned NOT NULL CHECK ("serial" >= 0), "currency" varchar(3) NOT NULL, "seller" text NOT NULL CHECK ((JSON_VALID("seller") OR "seller" IS NULL)), "buyer" text NOT NULL CHECK ((JSON_VALID("buyer") OR "buyer" IS NULL)), "device" text NOT NULL CHECK ((JSON_VALID("device") OR "device" IS NULL)), "story" text NOT NULL CHECK ((JSON_VALID("story") OR "story" IS NULL)), "evidence" text NOT NULL CHECK ((JSON_VALID("evidence") OR "evidence" IS NULL)), "net_minor" bigint NOT NULL, "tax_minor" bigint NOT NULL, "total_minor" bigint NOT NULL, "prepaid_minor" bigint NOT NULL, "due_on" date NOT NULL, "warranty_until" date NULL, "texts" text NOT NULL CHECK ((JSON_VALID("texts") OR "texts" IS NULL)), "issued_at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "plain_because" varchar(20) NOT NULL, "is_partial" bool NOT NULL, "corrects_id" bigint NULL REFERENCES "billing_invoice" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_number_is_issued_once" UNIQUE ("shop_id", "kind", "serial"), CONSTRAINT "an_invoice_number_is_unique" UNIQUE ("shop_id", "number"), CONSTRAINT "total_is_net_plus_tax" CHECK ("total_minor" = ("net_minor" + "tax_minor")), CONSTRAINT "a_credit_note_points_to_its_invoice" CHECK ((("corrects_id" IS NULL AND "kind" IN ('invoice', 'prepayment')) OR ("corrects_id" IS NOT NULL AND "kind" = 'credit_note'))));
CREATE TABLE "billing_payment" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "currency" varchar(3) NOT NULL, "amount_minor" bigint NOT NULL, "method" varchar(20) NOT NULL, "reference" varchar(80) NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "invoice_id" bigint NULL REFERENCES "billing_invoice" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "back_reason" varchar(200) NOT NULL, "rounding_minor" bigint NOT NULL, CONSTRAINT "a_payment_is_for_something" CHECK (("ticket_id" IS NOT NULL OR "invoice_id" IS NOT NULL)), CONSTRAINT "a_payment_moves_money" CHECK (NOT ("amount_minor" = 0 AND "rounding_minor" = 0)));
CREATE TABLE "billing_paymentrules" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "valid_from" datetime NOT NULL, "deposit_paper" varchar(10) NOT NULL, "cash_step_minor" integer unsigned NOT NULL CHECK ("cash_step_minor" >= 0), "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_coin_has_a_value" CHECK ("cash_step_minor" >= 1));
CREATE TABLE "billing_quoteanswer" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "is_yes" bool NOT NULL, "decline_reason" varchar(20) NOT NULL, "answered_by" varchar(200) NOT NULL, "channel" varchar(20) NOT NULL, "total_minor" bigint NOT NULL, "at" datetime NOT NULL, "quote_id" bigint NOT NULL UNIQUE REFERENCES "billing_quote" ("id") DEFERRABLE INITIALLY DEFERRED, "recorded_by_id" bigint NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "of_version" varchar(40) NULL UNIQUE);
CREATE TABLE "billing_quotedraft" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "version" integer unsigned NOT NULL CHECK ("version" >= 0), "cause" varchar(300) NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "risks" varchar(80) NOT NULL);
CREATE TABLE "billing_loandevice" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(120) NOT NULL, "serial" varchar(80) NOT NULL, "kept_since" datetime NOT NULL, "ended_at" datetime NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "billing_loan" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "given_at" datetime NOT NULL, "due_on" date NULL, "given_with" varchar(200) NOT NULL, "currency" varchar(3) NOT NULL, "deposit_minor" bigint NOT NULL, "deposit_method" varchar(20) NOT NULL, "given_by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "device_id" bigint NOT NULL REFERENCES "billing_loandevice" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_loan_deposit_is_not_negative" CHECK ("deposit_minor" >= 0));
CREATE TABLE "billing_loanreturn" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "at" datetime NOT NULL, "state" varchar(200) NOT NULL, "currency" varchar(3) NOT NULL, "deposit_back_minor" bigint NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "loan_id" bigint NOT NULL UNIQUE REFERENCES "billing_loan" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "what_is_given_back_is_not_negative" CHECK ("deposit_back_minor" >= 0));
CREATE TABLE "billing_stockitem" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "code" varchar(40) NOT NULL, "name" varchar(120) NOT NULL, "part_id" varchar(40) NOT NULL, "cost_minor" bigint NOT NULL, "currency" varchar(3) NOT NULL, "on_hand" integer NOT NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "barcode" varchar(40) NOT NULL, "place_id" bigint NULL REFERENCES "intake_place" ("id") DEFERRABLE INITIALLY DEFERRED, "reorder_at" integer unsigned NULL CHECK ("reorder_at" >= 0), "supplier" varchar(120) NOT NULL, CONSTRAINT "a_stock_code_is_used_once" UNIQUE ("shop_id", "code"), CONSTRAINT "on_hand_is_never_below_zero" CHECK ("on_hand" >= 0));
CREATE TABLE "billing_claim" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "kind" varchar(20) NOT NULL, "supplier" varchar(120) NOT NULL, "name" varchar(120) NOT NULL, "quantity" integer unsigned NOT NULL CHECK ("quantity" >= 0), "currency" varchar(3) NOT NULL, "worth_minor" bigint NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "item_id" bigint NULL REFERENCES "billing_stockitem" ("id") DEFERRABLE INITIALLY DEFERRED, "move_id" bigint NULL UNIQUE REFERENCES "billing_stockmove" ("id") DEFERRABLE INITIALLY DEFERRED, "order_line_id" bigint NULL REFERENCES "billing_orderline" ("id") DEFERRABLE INITIALLY DEFERRED, "replacement_id" bigint NULL UNIQUE REFERENCES "billing_orderline" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "billing_claimend" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "how" varchar(20) NOT NULL, "currency" varchar(3) NOT NULL, "amount_minor" bigint NOT NULL, "reference" varchar(40) NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "claim_id" bigint NOT NULL UNIQUE REFERENCES "billing_claim" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "billing_stockcount" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "expected" integer unsigned NOT NULL CHECK ("expected" >= 0), "counted" integer unsigned NOT NULL CHECK ("counted" >= 0), "reason" varchar(20) NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "item_id" bigint NOT NULL REFERENCES "billing_stockitem" ("id") DEFERRABLE INITIALLY DEFERRED, "move_id" bigint NULL UNIQUE REFERENCES "billing_stockmove" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_difference_has_its_reason_and_its_move" CHECK ((("counted" = ("expected") AND "move_id" IS NULL AND "reason" = '') OR (NOT ("counted" = ("expected")) AND NOT ("reason" = '') AND "move_id" IS NOT NULL))));
CREATE TABLE "billing_stocklot" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(80) NOT NULL, "origin" varchar(60) NOT NULL, "is_salvaged" bool NOT NULL, "cost_minor" bigint NOT NULL, "price_minor" bigint NULL, "quantity" integer unsigned NOT NULL CHECK ("quantity" >= 0), "left" integer unsigned NOT NULL CHECK ("left" >= 0), "came_by_id" bigint NOT NULL UNIQUE REFERENCES "billing_stockmove" ("id") DEFERRABLE INITIALLY DEFERRED, "item_id" bigint NOT NULL REFERENCES "billing_stockitem" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "no_lot_grows" CHECK ("left" <= ("quantity")), CONSTRAINT "what_is_salvaged_costs_nothing_and_has_its_price" CHECK ((NOT "is_salvaged" OR ("cost_minor" = 0 AND "price_minor" IS NOT NULL))));
CREATE TABLE "billing_lotdraw" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "quantity" integer NOT NULL, "move_id" bigint NOT NULL REFERENCES "billing_stockmove" ("id") DEFERRABLE INITIALLY DEFERRED, "lot_id" bigint NOT NULL REFERENCES "billing_stocklot" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_draw_draws_something" CHECK (NOT ("quantity" = 0)));
CREATE TABLE "billing_linemove" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "line_id" bigint NOT NULL REFERENCES "billing_invoiceline" ("id") DEFERRABLE INITIALLY DEFERRED, "move_id" bigint NOT NULL UNIQUE REFERENCES "billing_stockmove" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "billing_paidtogether" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "first_id" bigint NOT NULL REFERENCES "billing_payment" ("id") DEFERRABLE INITIALLY DEFERRED, "payment_id" bigint NOT NULL UNIQUE REFERENCES "billing_payment" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "billing_orderline" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "supplier" varchar(120) NOT NULL, "name" varchar(120) NOT NULL, "quantity" integer unsigned NOT NULL CHECK ("quantity" >= 0), "currency" varchar(3) NOT NULL, "price_minor" bigint NOT NULL, "due_on" date NULL, "ordered_at" datetime NOT NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "awaited" integer unsigned NOT NULL CHECK ("awaited" >= 0), "item_id" bigint NULL REFERENCES "billing_stockitem" ("id") DEFERRABLE INITIALLY DEFERRED, "reference" varchar(40) NOT NULL, "their_code" varchar(40) NOT NULL, CONSTRAINT "no_more_is_awaited_than_was_ordered" CHECK ("awaited" <= ("quantity")));
CREATE TABLE "billing_quote" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "version" integer unsigned NOT NULL CHECK ("version" >= 0), "currency" varchar(3) NOT NULL, "net_minor" bigint NOT NULL, "tax_minor" bigint NOT NULL, "total_minor" bigint NOT NULL, "cap_minor" bigint NOT NULL, "deposit_minor" bigint NOT NULL, "cause" varchar(300) NOT NULL, "risk" varchar(800) NOT NULL, "valid_until" date NOT NULL, "sent_at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "option" varchar(1) NOT NULL, "option_title" varchar(80) NOT NULL, "seller" text NOT NULL CHECK ((JSON_VALID("seller") OR "seller" IS NULL)), CONSTRAINT "the_cap_covers_the_quote" CHECK ("cap_minor" >= ("total_minor")), CONSTRAINT "a_quote_version_is_sent_once" UNIQUE ("ticket_id", "version", "option"));
CREATE TABLE "books_accountname" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "code" varchar(40) NOT NULL, "number" varchar(20) NOT NULL, "name" varchar(80) NOT NULL, "since" date NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "books_daypayment" ("payment_id" bigint NOT NULL PRIMARY KEY REFERENCES "billing_payment" ("id") DEFERRABLE INITIALLY DEFERRED, "day_id" bigint NOT NULL REFERENCES "books_cashday" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "books_cashday" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "serial" integer unsigned NOT NULL CHECK ("serial" >= 0), "currency" varchar(3) NOT NULL, "carried_minor" bigint NOT NULL, "expected_minor" bigint NOT NULL, "counted_minor" bigint NOT NULL, "pieces" text NOT NULL CHECK ((JSON_VALID("pieces") OR "pieces" IS NULL)), "reason" varchar(300) NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_till_is_counted_once_at_a_time" UNIQUE ("shop_id", "serial"), CONSTRAINT "no_till_holds_less_than_nothing" CHECK ("counted_minor" >= 0), CONSTRAINT "a_difference_has_a_reason" CHECK (("counted_minor" = ("expected_minor") OR "serial" = 1 OR NOT ("reason" = ''))));
CREATE TABLE "books_daymove" ("move_id" bigint NOT NULL PRIMARY KEY REFERENCES "books_cashmove" ("id") DEFERRABLE INITIALLY DEFERRED, "day_id" bigint NOT NULL REFERENCES "books_cashday" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "books_cashmove" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "why" varchar(20) NOT NULL, "currency" varchar(3) NOT NULL, "amount_minor" bigint NOT NULL, "said" varchar(200) NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "cash_moves_the_way_it_says" CHECK ((("amount_minor" > 0 AND "why" IN ('from_owner', 'from_bank')) OR ("amount_minor" < 0 AND "why" IN ('to_bank', 'to_owner', 'bought')))));
CREATE TABLE "books_paymentreminder" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "level" smallint unsigned NOT NULL CHECK ("level" >= 0), "currency" varchar(3) NOT NULL, "owed_minor" bigint NOT NULL, "language" varchar(10) NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "invoice_id" bigint NOT NULL REFERENCES "billing_invoice" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "each_reminder_goes_out_once" UNIQUE ("invoice_id", "level"), CONSTRAINT "there_are_three_reminders" CHECK (("level" >= 1 AND "level" <= 3)));
CREATE TABLE "books_reminderrule" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "first_days" integer unsigned NOT NULL CHECK ("first_days" >= 0), "second_days" integer unsigned NOT NULL CHECK ("second_days" >= 0), "last_days" integer unsigned NOT NULL CHECK ("last_days" >= 0), "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "reminders_come_one_after_the_other" CHECK (("second_days" > ("first_days") AND "last_days" > ("second_days"))));
CREATE TABLE "books_daydeposit" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "back_id" bigint NULL UNIQUE REFERENCES "billing_loanreturn" ("id") DEFERRABLE INITIALLY DEFERRED, "day_id" bigint NULL REFERENCES "books_cashday" ("id") DEFERRABLE INITIALLY DEFERRED, "loan_id" bigint NULL UNIQUE REFERENCES "billing_loan" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_deposit_comes_or_goes" CHECK ((("back_id" IS NOT NULL AND "loan_id" IS NULL) OR ("back_id" IS NULL AND "loan_id" IS NOT NULL))));
CREATE TABLE "photos_keeping" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "days" integer unsigned NOT NULL CHECK ("days" >= 0), "shop_id" bigint NOT NULL UNIQUE REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "photos_link" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "token_hash" varchar(64) NOT NULL UNIQUE, "made_at" datetime NOT NULL, "until" datetime NOT NULL, "ended_at" datetime NULL, "made_by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "photos_photo" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "board_id" bigint NULL, "side" varchar(20) NOT NULL, "name" varchar(40) NOT NULL UNIQUE, "width" integer unsigned NOT NULL CHECK ("width" >= 0), "height" integer unsigned NOT NULL CHECK ("height" >= 0), "bytes" integer unsigned NOT NULL CHECK ("bytes" >= 0), "sha256" varchar(64) NOT NULL, "sent_id" varchar(64) NOT NULL, "taken_at" datetime NULL, "received_at" datetime NOT NULL, "erased_at" datetime NULL, "files_gone_at" datetime NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "link_id" bigint NULL REFERENCES "photos_link" ("id") DEFERRABLE INITIALLY DEFERRED, "note_id" bigint NULL REFERENCES "records_note" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "station_id" bigint NULL REFERENCES "people_station" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_photo_is_kept_once" UNIQUE ("shop_id", "sent_id"), CONSTRAINT "a_photo_is_of_something" CHECK (("ticket_id" IS NOT NULL OR "board_id" IS NOT NULL)));
CREATE TABLE "diagnostics_board" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "origin" varchar(20) NOT NULL, "serial" varchar(80) NOT NULL, "marking" varchar(120) NOT NULL, "seen_at" datetime NOT NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "board_model_id" bigint NOT NULL REFERENCES "diagnostics_boardmodel" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_boardmodelrevision" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "key" varchar(120) NOT NULL, "old" text NULL CHECK ((JSON_VALID("old") OR "old" IS NULL)), "new" text NULL CHECK ((JSON_VALID("new") OR "new" IS NULL)), "why" varchar(200) NOT NULL, "at" datetime NOT NULL, "board_model_id" bigint NOT NULL REFERENCES "diagnostics_boardmodel" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_gateoverride" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "epoch" integer unsigned NOT NULL CHECK ("epoch" >= 0), "check_id" varchar(20) NOT NULL, "gate_id" varchar(20) NOT NULL, "chip" varchar(30) NOT NULL, "limit_amps" real NULL, "at" datetime NOT NULL, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "note_id" bigint NULL REFERENCES "records_note" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_boardmodel" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "number" varchar(80) NOT NULL, "name" varchar(120) NOT NULL, "family" varchar(40) NOT NULL, "made_at" datetime NOT NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_board_number_is_known_once" UNIQUE ("shop_id", "number"));
CREATE TABLE "diagnostics_finding" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "epoch" integer unsigned NOT NULL CHECK ("epoch" >= 0), "cause" varchar(20) NOT NULL, "part_id" varchar(40) NOT NULL, "mode_id" varchar(40) NOT NULL, "place" varchar(80) NOT NULL, "is_proven" bool NOT NULL, "at" datetime NOT NULL, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_cause_names_part_and_failure" CHECK ((NOT ("cause" = 'part') OR (NOT ("part_id" = '') AND NOT ("mode_id" = '')))));
CREATE TABLE "diagnostics_ticketboard" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "joined_at" datetime NOT NULL, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_board_joins_a_ticket_once" UNIQUE ("ticket_id", "board_id"));
CREATE TABLE "diagnostics_meter" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(80) NOT NULL, "ranges" text NOT NULL CHECK ((JSON_VALID("ranges") OR "ranges" IS NULL)), "diode_amps" real NOT NULL, "diode_volts" real NOT NULL, "calibration_due" date NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "retired_at" datetime NULL, "since" datetime NOT NULL);
CREATE TABLE "diagnostics_keptgood" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "reading_id" bigint NOT NULL UNIQUE REFERENCES "diagnostics_reading" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_intervention" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "epoch" integer unsigned NOT NULL CHECK ("epoch" >= 0), "kind" varchar(20) NOT NULL, "part_id" varchar(40) NOT NULL, "place" varchar(80) NOT NULL, "at" datetime NOT NULL, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "disk" varchar(20) NOT NULL, CONSTRAINT "an_epoch_has_one_beginning" UNIQUE ("board_id", "epoch"));
CREATE TABLE "diagnostics_parttest" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "uuid" char(32) NOT NULL UNIQUE, "epoch" integer unsigned NOT NULL CHECK ("epoch" >= 0), "kind" varchar(20) NOT NULL, "label" varchar(80) NOT NULL, "setup" text NOT NULL CHECK ((JSON_VALID("setup") OR "setup" IS NULL)), "started_at" datetime NOT NULL, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "meter_id" bigint NULL REFERENCES "diagnostics_meter" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_part_has_its_label" CHECK (NOT ("label" = '')));
CREATE TABLE "diagnostics_partteststep" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "uuid" char(32) NOT NULL UNIQUE, "step" varchar(40) NOT NULL, "typed" varchar(60) NOT NULL, "outcome" varchar(20) NOT NULL, "value" real NULL, "unit" varchar(10) NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "test_id" bigint NOT NULL REFERENCES "diagnostics_parttest" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_value_of_a_step_has_its_number" CHECK ((NOT ("outcome" = 'value') OR "value" IS NOT NULL)));
CREATE TABLE "diagnostics_calculation" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "uuid" char(32) NOT NULL UNIQUE, "epoch" integer unsigned NOT NULL CHECK ("epoch" >= 0), "calculator_id" varchar(20) NOT NULL, "point_id" varchar(60) NOT NULL, "typed" text NOT NULL CHECK ((JSON_VALID("typed") OR "typed" IS NULL)), "inputs" text NOT NULL CHECK ((JSON_VALID("inputs") OR "inputs" IS NULL)), "result" text NOT NULL CHECK ((JSON_VALID("result") OR "result" IS NULL)), "reasons" text NOT NULL CHECK ((JSON_VALID("reasons") OR "reasons" IS NULL)), "engine_version" varchar(20) NOT NULL, "at" datetime NOT NULL, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "reading_id" bigint NULL REFERENCES "diagnostics_reading" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_advice" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "moment" varchar(20) NOT NULL, "suspects" text NOT NULL CHECK ((JSON_VALID("suspects") OR "suspects" IS NULL)), "something_else" real NOT NULL, "next_check" varchar(60) NOT NULL, "was_followed" bool NULL, "reading_ids" text NOT NULL CHECK ((JSON_VALID("reading_ids") OR "reading_ids" IS NULL)), "engine_version" varchar(20) NOT NULL, "family_hash" varchar(64) NOT NULL, "lore_boards" integer unsigned NOT NULL CHECK ("lore_boards" >= 0), "at" datetime NOT NULL, "by_id" bigint NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "words" text NOT NULL CHECK ((JSON_VALID("words") OR "words" IS NULL)));
CREATE TABLE "diagnostics_sighting" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "uuid" char(32) NOT NULL UNIQUE, "epoch" integer unsigned NOT NULL CHECK ("epoch" >= 0), "kind" varchar(10) NOT NULL, "part_id" varchar(40) NOT NULL, "rail_id" varchar(40) NOT NULL, "place" varchar(80) NOT NULL, "at" datetime NOT NULL, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_sighting_is_at_a_part_or_a_rail" CHECK ((("part_id" = '' OR "rail_id" = '') AND 1 = (CASE WHEN "part_id" = '' THEN 1 ELSE 0 END + CASE WHEN "rail_id" = '' THEN 1 ELSE 0 END))));
CREATE TABLE "diagnostics_suspectword" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "epoch" integer unsigned NOT NULL CHECK ("epoch" >= 0), "part_id" varchar(40) NOT NULL, "mode_id" varchar(40) NOT NULL, "kind" varchar(10) NOT NULL, "chip" varchar(20) NOT NULL, "at" datetime NOT NULL, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "note_id" bigint NULL REFERENCES "records_note" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_word_names_part_and_failure" CHECK ((NOT ("part_id" = '') AND NOT ("mode_id" = ''))), CONSTRAINT "a_word_has_its_reason" CHECK (("kind" = 'taken_back' OR NOT ("chip" = ''))));
CREATE TABLE "diagnostics_machinerun" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "uuid" char(32) NOT NULL UNIQUE, "kind" varchar(20) NOT NULL, "planned_minutes" integer unsigned NULL CHECK ("planned_minutes" >= 0), "started_at" datetime NOT NULL, "board_id" bigint NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_machineend" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "ended_at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "run_id" bigint NOT NULL UNIQUE REFERENCES "diagnostics_machinerun" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_circuitword" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "marks" text NOT NULL CHECK ((JSON_VALID("marks") OR "marks" IS NULL)), "circuit" varchar(12) NOT NULL, "rail_id" varchar(40) NOT NULL, "settles" bigint unsigned NOT NULL CHECK ("settles" >= 0), "at" datetime NOT NULL, "board_model_id" bigint NOT NULL REFERENCES "diagnostics_boardmodel" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_boardpicture" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "side" varchar(10) NOT NULL, "outline" varchar(20) NOT NULL, "name" varchar(40) NOT NULL, "width" integer unsigned NOT NULL CHECK ("width" >= 0), "height" integer unsigned NOT NULL CHECK ("height" >= 0), "at" datetime NOT NULL, "board_model_id" bigint NOT NULL REFERENCES "diagnostics_boardmodel" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_picture_is_a_photo_or_an_outline" CHECK ((("outline" = '' OR "name" = '') AND 1 = (CASE WHEN "outline" = '' THEN 1 ELSE 0 END + CASE WHEN "name" = '' THEN 1 ELSE 0 END))), CONSTRAINT "a_picture_has_a_size" CHECK (("width" > 0 AND "height" > 0)));
CREATE TABLE "diagnostics_boardmark" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "uuid" char(32) NOT NULL UNIQUE, "kind" varchar(12) NOT NULL, "x" real NOT NULL, "y" real NOT NULL, "size" smallint unsigned NULL CHECK ("size" >= 0), "look" varchar(1) NOT NULL, "marking" varchar(8) NOT NULL, "rail_id" varchar(40) NOT NULL, "at" datetime NOT NULL, "gone_at" datetime NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "gone_by_id" bigint NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "picture_id" bigint NOT NULL REFERENCES "diagnostics_boardpicture" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_mark_lies_in_its_picture" CHECK (("x" >= 0.0 AND "x" <= 1.0 AND "y" >= 0.0 AND "y" <= 1.0)), CONSTRAINT "an_inductor_has_size_and_look" CHECK ((NOT ("kind" = 'inductor') OR ("size" IS NOT NULL AND NOT ("look" = '')))), CONSTRAINT "a_point_names_its_rail" CHECK ((NOT ("kind" = 'point') OR NOT ("rail_id" = ''))));
CREATE TABLE "diagnostics_conditionset" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "uuid" char(32) NOT NULL UNIQUE, "epoch" integer unsigned NOT NULL CHECK ("epoch" >= 0), "check_id" varchar(20) NOT NULL, "condition" varchar(2) NOT NULL, "fitted" text NOT NULL CHECK ((JSON_VALID("fitted") OR "fitted" IS NULL)), "supply_volts" real NULL, "supply_limit_amps" real NULL, "at" datetime NOT NULL, "received_at" datetime NOT NULL, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_passedby" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "uuid" char(32) NOT NULL UNIQUE, "epoch" integer unsigned NOT NULL CHECK ("epoch" >= 0), "check_id" varchar(20) NOT NULL, "why" varchar(20) NOT NULL, "at" datetime NOT NULL, "received_at" datetime NOT NULL, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "note_id" bigint NULL REFERENCES "records_note" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "another_reason_has_its_words" CHECK ((NOT ("why" = 'in_words') OR "note_id" IS NOT NULL)));
CREATE TABLE "diagnostics_takenoff" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "name" varchar(80) NOT NULL, "for_ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "intervention_id" bigint NOT NULL UNIQUE REFERENCES "diagnostics_intervention" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_proofitem" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "item" varchar(40) NOT NULL, "result" varchar(20) NOT NULL, "count" smallint unsigned NULL CHECK ("count" >= 0), "minutes" integer unsigned NULL CHECK ("minutes" >= 0), "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "note_id" bigint NULL REFERENCES "records_note" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "part" varchar(40) NOT NULL);
CREATE TABLE "diagnostics_prooflevel" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "level" varchar(10) NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_proofphoto" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "is_on" bool NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "photo_id" bigint NOT NULL REFERENCES "photos_photo" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NOT NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_donorpaper" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "kind" varchar(20) NOT NULL, "reference" varchar(80) NOT NULL, "at" datetime NOT NULL, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "diagnostics_reading" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "uuid" char(32) NOT NULL UNIQUE, "epoch" integer unsigned NOT NULL CHECK ("epoch" >= 0), "check_id" varchar(20) NOT NULL, "point_id" varchar(60) NOT NULL, "mode" varchar(2) NOT NULL, "polarity" varchar(20) NOT NULL, "condition" varchar(2) NOT NULL, "fitted" text NOT NULL CHECK ((JSON_VALID("fitted") OR "fitted" IS NULL)), "source" varchar(10) NOT NULL, "typed" varchar(60) NOT NULL, "outcome" varchar(20) NOT NULL, "value" real NULL, "unit" varchar(10) NOT NULL, "decimals" smallint unsigned NULL CHECK ("decimals" >= 0), "digit" real NULL, "category" varchar(40) NOT NULL, "pattern" text NULL CHECK ((JSON_VALID("pattern") OR "pattern" IS NULL)), "full_scale" real NULL, "lead_ohms" real NULL, "is_four_wire" bool NOT NULL, "supply_volts" real NULL, "supply_limit_amps" real NULL, "supply_actual_volts" real NULL, "taken_at" datetime NOT NULL, "tablet_offset_seconds" real NULL, "received_at" datetime NOT NULL, "tablet_sequence" bigint NULL, "board_id" bigint NOT NULL REFERENCES "diagnostics_board" ("id") DEFERRABLE INITIALLY DEFERRED, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "meter_id" bigint NULL REFERENCES "diagnostics_meter" ("id") DEFERRABLE INITIALLY DEFERRED, "note_id" bigint NULL REFERENCES "records_note" ("id") DEFERRABLE INITIALLY DEFERRED, "ticket_id" bigint NULL REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "is_late" bool NOT NULL, "is_confirmed" bool NOT NULL, "is_from_paper" bool NOT NULL, CONSTRAINT "a_value_has_its_number" CHECK ((NOT ("outcome" = 'value') OR "value" IS NOT NULL)), CONSTRAINT "what_was_seen_is_named" CHECK ((NOT ("outcome" = 'category') OR NOT ("category" = ''))));
CREATE TABLE "diagnostics_familyoffer" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "family" varchar(40) NOT NULL, "is_offered" bool NOT NULL, "valid_from" datetime NOT NULL, "set_at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "mfa_authenticator" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "type" varchar(20) NOT NULL, "data" text NOT NULL CHECK ((JSON_VALID("data") OR "data" IS NULL)), "user_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "created_at" datetime NOT NULL, "last_used_at" datetime NULL);
CREATE TABLE "office_countedupto" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "event" bigint NOT NULL);
CREATE TABLE "office_ticketdays" ("ticket_id" bigint NOT NULL PRIMARY KEY REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "newest_event" bigint NOT NULL, "opened" bigint NOT NULL, "closed" bigint NULL, "queue" bigint unsigned NOT NULL CHECK ("queue" >= 0), "hands" bigint unsigned NOT NULL CHECK ("hands" >= 0), "parked" bigint unsigned NOT NULL CHECK ("parked" >= 0), "customer" bigint unsigned NOT NULL CHECK ("customer" >= 0), "supplier" bigint unsigned NOT NULL CHECK ("supplier" >= 0), "handover" bigint unsigned NOT NULL CHECK ("handover" >= 0), "to_reading" bigint unsigned NULL CHECK ("to_reading" >= 0), "to_quote" bigint unsigned NULL CHECK ("to_quote" >= 0), "is_warranty" bool NOT NULL, "told" varchar(20) NOT NULL, "found" varchar(20) NOT NULL, "family" varchar(40) NOT NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, "technician_id" bigint NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "the_parts_are_the_whole" CHECK (("closed" IS NULL OR "closed" < ("opened") OR "closed" = ("opened" + ((((("queue" + "hands") + "parked") + "customer") + "supplier") + "handover")))));
CREATE TABLE "office_weeklywish" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "is_wished" bool NOT NULL, "at" datetime NOT NULL, "person_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "office_weeklysheet" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "monday" date NOT NULL, "language" varchar(10) NOT NULL, "made_at" datetime NOT NULL, "pdf" BLOB NOT NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "one_sheet_a_week" UNIQUE ("shop_id", "monday"));
CREATE TABLE "opening_importrun" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "what" varchar(20) NOT NULL, "file_name" varchar(200) NOT NULL, "body" BLOB NOT NULL, "digest" varchar(64) NOT NULL, "encoding" varchar(20) NOT NULL, "separator" varchar(1) NOT NULL, "columns" text NOT NULL CHECK ((JSON_VALID("columns") OR "columns" IS NULL)), "rows" integer unsigned NOT NULL CHECK ("rows" >= 0), "checked_rows" integer unsigned NOT NULL CHECK ("checked_rows" >= 0), "made" text NOT NULL CHECK ((JSON_VALID("made") OR "made" IS NULL)), "uploaded_at" datetime NOT NULL, "done_at" datetime NULL, "undone_at" datetime NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "opening_importrow" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "line" integer unsigned NOT NULL CHECK ("line" >= 0), "state" varchar(10) NOT NULL, "values" text NOT NULL CHECK ((JSON_VALID("values") OR "values" IS NULL)), "problem" varchar(300) NOT NULL, "column" varchar(80) NOT NULL, "key" varchar(120) NOT NULL, "key_2" varchar(254) NOT NULL, "run_id" bigint NOT NULL REFERENCES "opening_importrun" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_line_of_a_file_is_kept_once" UNIQUE ("run_id", "line"));
CREATE TABLE "opening_stepdone" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "step" varchar(20) NOT NULL, "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_step_is_ticked_once" UNIQUE ("shop_id", "step"));
CREATE TABLE "printing_printjob" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "what" varchar(20) NOT NULL, "subject_id" bigint NOT NULL, "part" smallint unsigned NOT NULL CHECK ("part" >= 0), "ticket_id" bigint NULL, "printer" varchar(127) NOT NULL, "asked_at" datetime NOT NULL, "next_try_at" datetime NOT NULL, "tries" integer unsigned NOT NULL CHECK ("tries" >= 0), "last_error" varchar(200) NOT NULL, "request" varchar(160) NOT NULL, "handed_at" datetime NULL, "printed_at" datetime NULL, "withdrawn_at" datetime NULL, "asked_by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "printing_stationprinter" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "paper" varchar(10) NOT NULL, "printer" varchar(127) NOT NULL, "station_id" bigint NOT NULL REFERENCES "people_station" ("id") DEFERRABLE INITIALLY DEFERRED, CONSTRAINT "a_station_has_one_printer_a_paper" UNIQUE ("station_id", "paper"));
CREATE TABLE "rights_period" ("id" integer NOT NULL PRIMARY KEY AUTOINCREMENT, "what" varchar(20) NOT NULL, "days" integer unsigned NOT NULL CHECK ("days" >= 0), "at" datetime NOT NULL, "by_id" bigint NOT NULL REFERENCES "people_person" ("id") DEFERRABLE INITIALLY DEFERRED, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE "searching_tickettext" ("ticket_id" bigint NOT NULL PRIMARY KEY REFERENCES "intake_ticket" ("id") DEFERRABLE INITIALLY DEFERRED, "text" text NOT NULL, "shop_id" bigint NOT NULL REFERENCES "people_shop" ("id") DEFERRABLE INITIALLY DEFERRED);
CREATE TABLE searching_trigrams_words (id INTEGER PRIMARY KEY, word TEXT NOT NULL UNIQUE);
CREATE VIRTUAL TABLE searching_texts USING fts5(text, content='searching_tickettext', content_rowid='ticket_id', tokenize="ascii separators '01'");
CREATE VIRTUAL TABLE searching_trigrams USING fts5(word, content='searching_trigrams_words', content_rowid='id', tokenize='trigram');
CREATE TABLE "django_session" ("session_key" varchar(40) NOT NULL PRIMARY KEY, "session_data" text NOT NULL, "expire_date" datetime NOT NULL);
CREATE INDEX "people_markuptier_terms_id_8b8449cc" ON "people_markuptier" ("terms_id");
CREATE INDEX "account_emailconfirmation_email_address_id_5b7f8c58" ON "account_emailconfirmation" ("email_address_id");
CREATE UNIQUE INDEX "account_emailaddress_user_id_email_987c8728_uniq" ON "account_emailaddress" ("user_id", "email");
CREATE UNIQUE INDEX "unique_verified_email" ON "account_emailaddress" ("email") WHERE "verified";
CREATE INDEX "account_emailaddress_user_id_2c513194" ON "account_emailaddress" ("user_id");
CREATE INDEX "account_emailaddress_email_03be32b2" ON "account_emailaddress" ("email");
CREATE UNIQUE INDEX "unique_primary_email" ON "account_emailaddress" ("user_id", "primary") WHERE "primary";
CREATE UNIQUE INDEX "django_content_type_app_label_model_76bd3d3b_uniq" ON "django_content_type" ("app_label", "model");
CREATE UNIQUE INDEX "auth_group_permissions_group_id_permission_id_0cd325b0_uniq" ON "auth_group_permissions" ("group_id", "permission_id");
CREATE INDEX "auth_group_permissions_group_id_b120cbf9" ON "auth_group_permissions" ("group_id");
CREATE INDEX "auth_group_permissions_permission_id_84c5c92e" ON "auth_group_permissions" ("permission_id");
CREATE UNIQUE INDEX "auth_permission_content_type_id_codename_01ab375a_uniq" ON "auth_permission" ("content_type_id", "codename");
CREATE INDEX "auth_permission_content_type_id_2f476e4b" ON "auth_permission" ("content_type_id");
CREATE INDEX "people_station_enrolled_by_id_7187318e" ON "people_station" ("enrolled_by_id");
CREATE INDEX "people_station_shop_id_05927a66" ON "people_station" ("shop_id");
CREATE INDEX "people_badge_made_by_id_9eadbfa0" ON "people_badge" ("made_by_id");
CREATE INDEX "people_badge_person_id_d03ac643" ON "people_badge" ("person_id");
CREATE INDEX "people_badge_shop_id_fadfa205" ON "people_badge" ("shop_id");
CREATE INDEX "people_lateswitch_person_id_c9c9ba36" ON "people_lateswitch" ("person_id");
CREATE INDEX "people_lateswitch_station_id_962a6305" ON "people_lateswitch" ("station_id");
CREATE INDEX "people_logo_by_id_5d5472c9" ON "people_logo" ("by_id");
CREATE INDEX "people_logo_shop_id_1c74b981" ON "people_logo" ("shop_id");
CREATE INDEX "people_textsread_by_id_08f88fbe" ON "people_textsread" ("by_id");
CREATE INDEX "people_textsread_shop_id_8db36bca" ON "people_textsread" ("shop_id");
CREATE INDEX "people_closedday_shop_id_4499942e" ON "people_closedday" ("shop_id");
CREATE INDEX "people_openinghours_shop_id_95486b79" ON "people_openinghours" ("shop_id");
CREATE INDEX "people_shoptext_by_id_f2424f6c" ON "people_shoptext" ("by_id");
CREATE INDEX "people_shoptext_shop_id_ca2b35de" ON "people_shoptext" ("shop_id");
CREATE INDEX "text_of_shop" ON "people_shoptext" ("shop_id", "kind", "language");
CREATE INDEX "people_membership_person_id_dd6d28d1" ON "people_membership" ("person_id");
CREATE INDEX "people_membership_shop_id_2044c8fe" ON "people_membership" ("shop_id");
CREATE INDEX "people_terms_shop_id_f8f918fb" ON "people_terms" ("shop_id");
CREATE INDEX "people_fixedjob_terms_id_2ad92d67" ON "people_fixedjob" ("terms_id");
CREATE UNIQUE INDEX "one_rate_for_a_kind" ON "people_labourrate" ("terms_id", "kind") WHERE "person_id" IS NULL;
CREATE INDEX "people_labourrate_person_id_0166c478" ON "people_labourrate" ("person_id");
CREATE INDEX "people_labourrate_terms_id_5a6c3300" ON "people_labourrate" ("terms_id");
CREATE INDEX "people_officelimits_by_id_bd7e9516" ON "people_officelimits" ("by_id");
CREATE INDEX "people_officelimits_shop_id_dad95a62" ON "people_officelimits" ("shop_id");
CREATE INDEX "people_zonechange_by_id_c742d144" ON "people_zonechange" ("by_id");
CREATE INDEX "people_zonechange_shop_id_62fb9d4b" ON "people_zonechange" ("shop_id");
CREATE INDEX "intake_consent_ticket_id_8cddb0bb" ON "intake_consent" ("ticket_id");
CREATE INDEX "intake_thing_ticket_id_cf5767f3" ON "intake_thing" ("ticket_id");
CREATE INDEX "intake_passcode_kept_by_id_9b08f014" ON "intake_passcode" ("kept_by_id");
CREATE UNIQUE INDEX "a_place_is_named_once_a_shop" ON "intake_place" ((LOWER("name")), "shop_id") WHERE "ended_at" IS NULL;
CREATE INDEX "intake_place_shop_id_18ab09a8" ON "intake_place" ("shop_id");
CREATE INDEX "intake_sliplink_shop_id_7ed768aa" ON "intake_sliplink" ("shop_id");
CREATE INDEX "intake_sliplink_ticket_id_6569e448" ON "intake_sliplink" ("ticket_id");
CREATE INDEX "intake_intakedraft_person_id_41870235" ON "intake_intakedraft" ("person_id");
CREATE INDEX "intake_intakedraft_shop_id_1edb81ff" ON "intake_intakedraft" ("shop_id");
CREATE INDEX "intake_intakedraft_station_id_9ba6b1fe" ON "intake_intakedraft" ("station_id");
CREATE INDEX "intake_signature_ticket_id_5f394ce1" ON "intake_signature" ("ticket_id");
CREATE INDEX "intake_outagepack_printed_by_id_5e179d8b" ON "intake_outagepack" ("printed_by_id");
CREATE INDEX "intake_outagepack_shop_id_0f3fc8ec" ON "intake_outagepack" ("shop_id");
CREATE INDEX "intake_paperslip_pack_id_ad8fb85a" ON "intake_paperslip" ("pack_id");
CREATE INDEX "intake_paperslip_shop_id_3b2f9962" ON "intake_paperslip" ("shop_id");
CREATE INDEX "intake_paperslip_taken_by_id_9471232d" ON "intake_paperslip" ("taken_by_id");
CREATE INDEX "intake_paperslip_typed_by_id_9a9a8e17" ON "intake_paperslip" ("typed_by_id");
CREATE INDEX "intake_paperslip_voided_by_id_7a63a16a" ON "intake_paperslip" ("voided_by_id");
CREATE INDEX "intake_customer_shop_id_3a7ca0eb" ON "intake_customer" ("shop_id");
CREATE INDEX "intake_customer_joined_to_id_554e5729" ON "intake_customer" ("joined_to_id");
CREATE INDEX "customer_by_name" ON "intake_customer" ("shop_id", "name");
CREATE INDEX "customer_by_phone" ON "intake_customer" ("shop_id", "phone_e164");
CREATE INDEX "intake_device_customer_id_0b2e8955" ON "intake_device" ("customer_id");
CREATE INDEX "intake_device_shop_id_96fb9dc2" ON "intake_device" ("shop_id");
CREATE INDEX "intake_accountprices_by_id_1dfe034c" ON "intake_accountprices" ("by_id");
CREATE INDEX "intake_accountprices_customer_id_809fd386" ON "intake_accountprices" ("customer_id");
CREATE INDEX "intake_accountprices_shop_id_37e87fcc" ON "intake_accountprices" ("shop_id");
CREATE INDEX "intake_accountterms_by_id_e09392b4" ON "intake_accountterms" ("by_id");
CREATE INDEX "intake_accountterms_customer_id_c0326a2c" ON "intake_accountterms" ("customer_id");
CREATE INDEX "intake_accountterms_shop_id_2b26ffa8" ON "intake_accountterms" ("shop_id");
CREATE INDEX "intake_ticket_customer_id_75aa369c" ON "intake_ticket" ("customer_id");
CREATE INDEX "intake_ticket_device_id_8605c9e5" ON "intake_ticket" ("device_id");
CREATE INDEX "intake_ticket_shop_id_b0b2cfaa" ON "intake_ticket" ("shop_id");
CREATE INDEX "intake_ticket_returns_to_id_02662d37" ON "intake_ticket" ("returns_to_id");
CREATE INDEX "intake_ticket_came_with_id_856d35ba" ON "intake_ticket" ("came_with_id");
CREATE INDEX "ticket_newest" ON "intake_ticket" ("shop_id", "id" DESC);
CREATE INDEX "ticket_by_old_number" ON "intake_ticket" ("shop_id", "old_number") WHERE NOT ("old_number" = '');
CREATE INDEX "handover_of_day" ON "intake_handover" ("at", "ticket_id");
CREATE INDEX "ticket_opened" ON "intake_ticket" ("shop_id", "opened_at");
CREATE INDEX "note_of_ticket" ON "records_note" ("ticket_id", "kind", "id");
CREATE INDEX "event_of_ticket" ON "records_event" ("ticket_id", "id");
CREATE INDEX "event_of_board" ON "records_event" ("board_id", "id");
CREATE INDEX "event_of_kind" ON "records_event" ("shop_id", "kind", "at");
CREATE INDEX "event_of_reading" ON "records_event" ("reading_id") WHERE "reading_id" IS NOT NULL;
CREATE INDEX "records_keptanswer_kept_at_73f34f1e" ON "records_keptanswer" ("kept_at");
CREATE INDEX "records_note_shop_id_f5bfc107" ON "records_note" ("shop_id");
CREATE INDEX "records_note_ticket_id_f03f3458" ON "records_note" ("ticket_id");
CREATE INDEX "records_note_by_id_d5b732c4" ON "records_note" ("by_id");
CREATE INDEX "records_event_by_id_87d29f60" ON "records_event" ("by_id");
CREATE INDEX "records_event_note_id_611e4cea" ON "records_event" ("note_id");
CREATE INDEX "records_shared_cache_expires" ON "records_shared_cache" ("expires");
CREATE INDEX "records_outgoingmessage_shop_id_a21e3716" ON "records_outgoingmessage" ("shop_id");
CREATE INDEX "records_outgoingmessage_ticket_id_d53a7264" ON "records_outgoingmessage" ("ticket_id");
CREATE INDEX "message_to_send" ON "records_outgoingmessage" ("next_try_at") WHERE ("given_up_at" IS NULL AND "sent_at" IS NULL);
CREATE INDEX "billing_invoiceline_invoice_id_ff507e12" ON "billing_invoiceline" ("invoice_id");
CREATE INDEX "billing_quoteline_quote_id_090d1a7f" ON "billing_quoteline" ("quote_id");
CREATE INDEX "billing_stockmove_by_id_bfbedfa5" ON "billing_stockmove" ("by_id");
CREATE INDEX "billing_stockmove_item_id_dd8ebe21" ON "billing_stockmove" ("item_id");
CREATE INDEX "billing_stockmove_ticket_id_d44fdcbb" ON "billing_stockmove" ("ticket_id");
CREATE INDEX "billing_partuse_by_id_38cf5909" ON "billing_partuse" ("by_id");
CREATE INDEX "billing_partuse_ticket_id_3e56721f" ON "billing_partuse" ("ticket_id");
CREATE INDEX "billing_timeentry_person_id_ae0b4982" ON "billing_timeentry" ("person_id");
CREATE INDEX "billing_timeentry_ticket_id_c3b8571c" ON "billing_timeentry" ("ticket_id");
CREATE INDEX "billing_confirmedday_by_id_787385c3" ON "billing_confirmedday" ("by_id");
CREATE INDEX "billing_confirmedday_person_id_ed314e66" ON "billing_confirmedday" ("person_id");
CREATE INDEX "billing_confirmedday_shop_id_0ac3e4bb" ON "billing_confirmedday" ("shop_id");
CREATE INDEX "billing_quotedraftline_draft_id_13bbc71e" ON "billing_quotedraftline" ("draft_id");
CREATE INDEX "billing_invoicetax_invoice_id_75d2ac17" ON "billing_invoicetax" ("invoice_id");
CREATE INDEX "billing_accountinvoice_customer_id_feb87af9" ON "billing_accountinvoice" ("customer_id");
CREATE INDEX "billing_billedticket_invoice_id_6d9648e9" ON "billing_billedticket" ("invoice_id");
CREATE INDEX "billing_invoiceline_corrects_id_721e62fc" ON "billing_invoiceline" ("corrects_id");
CREATE INDEX "billing_invoice_by_id_2a9e1388" ON "billing_invoice" ("by_id");
CREATE INDEX "billing_invoice_shop_id_2e03d3ea" ON "billing_invoice" ("shop_id");
CREATE INDEX "billing_invoice_ticket_id_65c163e6" ON "billing_invoice" ("ticket_id");
CREATE INDEX "billing_invoice_corrects_id_8155d10c" ON "billing_invoice" ("corrects_id");
CREATE INDEX "billing_payment_by_id_e2e60342" ON "billing_payment" ("by_id");
CREATE INDEX "billing_payment_invoice_id_998dd3c5" ON "billing_payment" ("invoice_id");
CREATE INDEX "billing_payment_shop_id_275e18b7" ON "billing_payment" ("shop_id");
CREATE INDEX "billing_payment_ticket_id_8e37e5e3" ON "billing_payment" ("ticket_id");
CREATE INDEX "billing_paymentrules_by_id_4625f631" ON "billing_paymentrules" ("by_id");
CREATE INDEX "billing_paymentrules_shop_id_0ccf4c3d" ON "billing_paymentrules" ("shop_id");
CREATE INDEX "billing_quoteanswer_recorded_by_id_d9b2d838" ON "billing_quoteanswer" ("recorded_by_id");
CREATE INDEX "billing_quotedraft_by_id_435d24a6" ON "billing_quotedraft" ("by_id");
CREATE INDEX "billing_quotedraft_ticket_id_60ed0a99" ON "billing_quotedraft" ("ticket_id");
CREATE INDEX "billing_loandevice_shop_id_03b335fa" ON "billing_loandevice" ("shop_id");
CREATE UNIQUE INDEX "a_loan_device_is_named_once" ON "billing_loandevice" ("shop_id", "name") WHERE "ended_at" IS NULL;
CREATE INDEX "billing_loan_given_by_id_7ca793b5" ON "billing_loan" ("given_by_id");
CREATE INDEX "billing_loan_ticket_id_4030266b" ON "billing_loan" ("ticket_id");
CREATE INDEX "billing_loan_device_id_436f002c" ON "billing_loan" ("device_id");
CREATE INDEX "billing_loanreturn_by_id_335579f7" ON "billing_loanreturn" ("by_id");
CREATE INDEX "billing_stockitem_shop_id_18289a22" ON "billing_stockitem" ("shop_id");
CREATE INDEX "billing_stockitem_place_id_0f95cd43" ON "billing_stockitem" ("place_id");
CREATE INDEX "billing_stockmove_order_line_id_bb8cf07e" ON "billing_stockmove" ("order_line_id");
CREATE UNIQUE INDEX "a_barcode_is_of_one_part" ON "billing_stockitem" ("shop_id", "barcode") WHERE NOT ("barcode" = '');
CREATE INDEX "billing_claim_by_id_93e93796" ON "billing_claim" ("by_id");
CREATE INDEX "billing_claim_item_id_0a1d1b81" ON "billing_claim" ("item_id");
CREATE INDEX "billing_claim_order_line_id_5c2945f5" ON "billing_claim" ("order_line_id");
CREATE INDEX "billing_claim_shop_id_d18ea5e8" ON "billing_claim" ("shop_id");
CREATE INDEX "billing_claim_ticket_id_d8b920ae" ON "billing_claim" ("ticket_id");
CREATE INDEX "billing_claimend_by_id_b8b62e2e" ON "billing_claimend" ("by_id");
CREATE INDEX "billing_stockcount_by_id_67164d39" ON "billing_stockcount" ("by_id");
CREATE INDEX "billing_stockcount_item_id_a11aa9d1" ON "billing_stockcount" ("item_id");
CREATE UNIQUE INDEX "what_is_salvaged_comes_to_the_shelf_once" ON "billing_stocklot" ("origin") WHERE NOT ("origin" = '');
CREATE INDEX "billing_stocklot_item_id_40173358" ON "billing_stocklot" ("item_id");
CREATE INDEX "lots_that_are_not_empty" ON "billing_stocklot" ("item_id", "id") WHERE "left" > 0;
CREATE INDEX "billing_lotdraw_move_id_365a0715" ON "billing_lotdraw" ("move_id");
CREATE INDEX "billing_lotdraw_lot_id_8848d565" ON "billing_lotdraw" ("lot_id");
CREATE INDEX "billing_linemove_line_id_80e6bbd5" ON "billing_linemove" ("line_id");
CREATE INDEX "billing_paidtogether_first_id_f392cc62" ON "billing_paidtogether" ("first_id");
CREATE INDEX "invoice_that_bills_a_ticket" ON "billing_invoice" ("ticket_id") WHERE "kind" = 'invoice';
CREATE INDEX "invoice_taken_back" ON "billing_invoice" ("shop_id", "ticket_id") WHERE "kind" = 'credit_note';
CREATE INDEX "invoice_sums_of_a_ticket" ON "billing_invoice" ("shop_id", "ticket_id", "currency", "total_minor");
CREATE INDEX "minutes_of_a_day" ON "billing_timeentry" ("person_id", "started_at");
CREATE INDEX "invoice_sums_of_time" ON "billing_invoice" ("shop_id", "issued_at", "currency", "total_minor");
CREATE INDEX "invoice_sums_of_ticket" ON "billing_invoice" ("ticket_id", "kind", "currency", "net_minor", "total_minor", "warranty_until");
CREATE INDEX "payment_sums_of_time" ON "billing_payment" ("shop_id", "at", "currency", "amount_minor");
CREATE INDEX "quote_answer_of_day" ON "billing_quoteanswer" ("at");
CREATE INDEX "billing_orderline_shop_id_d9ee0bda" ON "billing_orderline" ("shop_id");
CREATE INDEX "billing_orderline_ticket_id_8c024bfa" ON "billing_orderline" ("ticket_id");
CREATE INDEX "billing_orderline_item_id_525f3a2b" ON "billing_orderline" ("item_id");
CREATE INDEX "notes_of_an_invoice" ON "billing_invoice" ("corrects_id", "is_partial", "total_minor") WHERE "corrects_id" IS NOT NULL;
CREATE INDEX "payment_sums_of_till" ON "billing_payment" ("shop_id", "currency", "method", "amount_minor");
CREATE INDEX "moves_of_an_item" ON "billing_stockmove" ("item_id", "at", "why", "quantity");
CREATE INDEX "what_is_reserved" ON "billing_stockmove" ("item_id", "expires_at") WHERE "why" = 'reserved';
CREATE INDEX "billing_quote_by_id_4ebe1f55" ON "billing_quote" ("by_id");
CREATE INDEX "billing_quote_ticket_id_ef05f8bf" ON "billing_quote" ("ticket_id");
CREATE INDEX "quote_by_last_day" ON "billing_quote" ("valid_until");
CREATE INDEX "books_accountname_by_id_8d94106c" ON "books_accountname" ("by_id");
CREATE INDEX "books_accountname_shop_id_1809a8d3" ON "books_accountname" ("shop_id");
CREATE INDEX "books_daypayment_day_id_01896cad" ON "books_daypayment" ("day_id");
CREATE INDEX "books_cashday_by_id_acdce042" ON "books_cashday" ("by_id");
CREATE INDEX "books_cashday_shop_id_c76da413" ON "books_cashday" ("shop_id");
CREATE INDEX "books_daymove_day_id_56f997e6" ON "books_daymove" ("day_id");
CREATE INDEX "books_cashmove_by_id_0a8e437a" ON "books_cashmove" ("by_id");
CREATE INDEX "books_cashmove_shop_id_6f8e8a25" ON "books_cashmove" ("shop_id");
CREATE INDEX "books_paymentreminder_by_id_f0324de8" ON "books_paymentreminder" ("by_id");
CREATE INDEX "books_paymentreminder_invoice_id_48fb1743" ON "books_paymentreminder" ("invoice_id");
CREATE INDEX "books_reminderrule_by_id_63eaab5a" ON "books_reminderrule" ("by_id");
CREATE INDEX "books_reminderrule_shop_id_c9970b79" ON "books_reminderrule" ("shop_id");
CREATE INDEX "books_daydeposit_day_id_eddf6235" ON "books_daydeposit" ("day_id");
CREATE INDEX "photos_link_made_by_id_91c4d6ce" ON "photos_link" ("made_by_id");
CREATE INDEX "photos_link_ticket_id_4a60b136" ON "photos_link" ("ticket_id");
CREATE INDEX "photos_photo_board_id_3c341c77" ON "photos_photo" ("board_id");
CREATE INDEX "photos_photo_by_id_40d05f81" ON "photos_photo" ("by_id");
CREATE INDEX "photos_photo_link_id_5a0f13fa" ON "photos_photo" ("link_id");
CREATE INDEX "photos_photo_note_id_eb17a08b" ON "photos_photo" ("note_id");
CREATE INDEX "photos_photo_shop_id_3fd57b0b" ON "photos_photo" ("shop_id");
CREATE INDEX "photos_photo_station_id_a115c3cd" ON "photos_photo" ("station_id");
CREATE INDEX "photos_photo_ticket_id_a7693472" ON "photos_photo" ("ticket_id");
CREATE INDEX "diagnostics_board_shop_id_53ac9993" ON "diagnostics_board" ("shop_id");
CREATE INDEX "diagnostics_board_board_model_id_2ff3d103" ON "diagnostics_board" ("board_model_id");
CREATE INDEX "diagnostics_boardmodelrevision_board_model_id_22a65ab4" ON "diagnostics_boardmodelrevision" ("board_model_id");
CREATE INDEX "diagnostics_boardmodelrevision_by_id_bba0f3a7" ON "diagnostics_boardmodelrevision" ("by_id");
CREATE INDEX "diagnostics_gateoverride_board_id_fc5c86f7" ON "diagnostics_gateoverride" ("board_id");
CREATE INDEX "diagnostics_gateoverride_by_id_55532d80" ON "diagnostics_gateoverride" ("by_id");
CREATE INDEX "diagnostics_gateoverride_note_id_2edc3bfd" ON "diagnostics_gateoverride" ("note_id");
CREATE INDEX "diagnostics_gateoverride_ticket_id_5a9a8f9f" ON "diagnostics_gateoverride" ("ticket_id");
CREATE INDEX "diagnostics_boardmodel_shop_id_280ea8c9" ON "diagnostics_boardmodel" ("shop_id");
CREATE INDEX "diagnostics_finding_board_id_efd02f7f" ON "diagnostics_finding" ("board_id");
CREATE INDEX "diagnostics_finding_by_id_7c2bd2cb" ON "diagnostics_finding" ("by_id");
CREATE INDEX "diagnostics_finding_ticket_id_44f54092" ON "diagnostics_finding" ("ticket_id");
CREATE INDEX "diagnostics_ticketboard_board_id_61fac49e" ON "diagnostics_ticketboard" ("board_id");
CREATE INDEX "diagnostics_ticketboard_ticket_id_3731149f" ON "diagnostics_ticketboard" ("ticket_id");
CREATE INDEX "diagnostics_meter_shop_id_8a392685" ON "diagnostics_meter" ("shop_id");
CREATE UNIQUE INDEX "a_meter_has_its_own_name" ON "diagnostics_meter" ("shop_id", "name") WHERE "retired_at" IS NULL;
CREATE INDEX "diagnostics_keptgood_by_id_579059e0" ON "diagnostics_keptgood" ("by_id");
CREATE INDEX "diagnostics_intervention_board_id_d1968f78" ON "diagnostics_intervention" ("board_id");
CREATE INDEX "diagnostics_intervention_by_id_ef5b37df" ON "diagnostics_intervention" ("by_id");
CREATE INDEX "diagnostics_intervention_ticket_id_d8ceffd6" ON "diagnostics_intervention" ("ticket_id");
CREATE INDEX "diagnostics_parttest_board_id_879441c3" ON "diagnostics_parttest" ("board_id");
CREATE INDEX "diagnostics_parttest_by_id_8e799c0b" ON "diagnostics_parttest" ("by_id");
CREATE INDEX "diagnostics_parttest_meter_id_c1360827" ON "diagnostics_parttest" ("meter_id");
CREATE INDEX "diagnostics_parttest_ticket_id_dcb3bd75" ON "diagnostics_parttest" ("ticket_id");
CREATE INDEX "diagnostics_partteststep_by_id_fd2f1d34" ON "diagnostics_partteststep" ("by_id");
CREATE INDEX "diagnostics_partteststep_test_id_81283c2b" ON "diagnostics_partteststep" ("test_id");
CREATE INDEX "diagnostics_calculation_board_id_1d104e9a" ON "diagnostics_calculation" ("board_id");
CREATE INDEX "diagnostics_calculation_by_id_9b4c02ef" ON "diagnostics_calculation" ("by_id");
CREATE INDEX "diagnostics_calculation_reading_id_75b24c78" ON "diagnostics_calculation" ("reading_id");
CREATE INDEX "diagnostics_calculation_ticket_id_68aae151" ON "diagnostics_calculation" ("ticket_id");
CREATE INDEX "calculation_of_board" ON "diagnostics_calculation" ("board_id", "id");
CREATE INDEX "diagnostics_advice_by_id_f7c9afd7" ON "diagnostics_advice" ("by_id");
CREATE INDEX "diagnostics_advice_ticket_id_7eac1d98" ON "diagnostics_advice" ("ticket_id");
CREATE INDEX "diagnostics_advice_board_id_1a173246" ON "diagnostics_advice" ("board_id");
CREATE INDEX "diagnostics_sighting_board_id_df7da34f" ON "diagnostics_sighting" ("board_id");
CREATE INDEX "diagnostics_sighting_by_id_b73666a1" ON "diagnostics_sighting" ("by_id");
CREATE INDEX "diagnostics_sighting_ticket_id_da087114" ON "diagnostics_sighting" ("ticket_id");
CREATE INDEX "diagnostics_suspectword_board_id_39b2413f" ON "diagnostics_suspectword" ("board_id");
CREATE INDEX "diagnostics_suspectword_by_id_5ddc6640" ON "diagnostics_suspectword" ("by_id");
CREATE INDEX "diagnostics_suspectword_note_id_d09254ae" ON "diagnostics_suspectword" ("note_id");
CREATE INDEX "diagnostics_suspectword_ticket_id_eefba3df" ON "diagnostics_suspectword" ("ticket_id");
CREATE INDEX "diagnostics_machinerun_board_id_09e79908" ON "diagnostics_machinerun" ("board_id");
CREATE INDEX "diagnostics_machinerun_by_id_47f84723" ON "diagnostics_machinerun" ("by_id");
CREATE INDEX "diagnostics_machinerun_ticket_id_59e5b926" ON "diagnostics_machinerun" ("ticket_id");
CREATE INDEX "diagnostics_machineend_by_id_bf2213c5" ON "diagnostics_machineend" ("by_id");
CREATE INDEX "diagnostics_circuitword_board_model_id_a99695cf" ON "diagnostics_circuitword" ("board_model_id");
CREATE INDEX "diagnostics_circuitword_by_id_fd5a1883" ON "diagnostics_circuitword" ("by_id");
CREATE INDEX "diagnostics_boardpicture_board_model_id_78532b41" ON "diagnostics_boardpicture" ("board_model_id");
CREATE INDEX "diagnostics_boardpicture_by_id_37a408b8" ON "diagnostics_boardpicture" ("by_id");
CREATE INDEX "diagnostics_boardmark_by_id_f29db37d" ON "diagnostics_boardmark" ("by_id");
CREATE INDEX "diagnostics_boardmark_gone_by_id_6b009d73" ON "diagnostics_boardmark" ("gone_by_id");
CREATE INDEX "diagnostics_boardmark_picture_id_32889aab" ON "diagnostics_boardmark" ("picture_id");
CREATE INDEX "diagnostics_conditionset_board_id_b427a8e2" ON "diagnostics_conditionset" ("board_id");
CREATE INDEX "diagnostics_conditionset_by_id_dad1409f" ON "diagnostics_conditionset" ("by_id");
CREATE INDEX "diagnostics_conditionset_ticket_id_1b2edad3" ON "diagnostics_conditionset" ("ticket_id");
CREATE INDEX "condition_of_board" ON "diagnostics_conditionset" ("board_id", "id");
CREATE INDEX "diagnostics_passedby_board_id_99c8f2f7" ON "diagnostics_passedby" ("board_id");
CREATE INDEX "diagnostics_passedby_by_id_f2a17b90" ON "diagnostics_passedby" ("by_id");
CREATE INDEX "diagnostics_passedby_note_id_4a8e88d7" ON "diagnostics_passedby" ("note_id");
CREATE INDEX "diagnostics_passedby_ticket_id_44f030f8" ON "diagnostics_passedby" ("ticket_id");
CREATE INDEX "passed_by_of_board" ON "diagnostics_passedby" ("board_id", "id");
CREATE INDEX "diagnostics_takenoff_for_ticket_id_921d77d1" ON "diagnostics_takenoff" ("for_ticket_id");
CREATE INDEX "diagnostics_proofitem_by_id_efee08d7" ON "diagnostics_proofitem" ("by_id");
CREATE INDEX "diagnostics_proofitem_note_id_506b2547" ON "diagnostics_proofitem" ("note_id");
CREATE INDEX "diagnostics_proofitem_ticket_id_b592113e" ON "diagnostics_proofitem" ("ticket_id");
CREATE INDEX "diagnostics_prooflevel_by_id_372ed94d" ON "diagnostics_prooflevel" ("by_id");
CREATE INDEX "diagnostics_prooflevel_ticket_id_398c07f9" ON "diagnostics_prooflevel" ("ticket_id");
CREATE INDEX "diagnostics_proofphoto_by_id_9a60a12c" ON "diagnostics_proofphoto" ("by_id");
CREATE INDEX "diagnostics_proofphoto_photo_id_f30bfad7" ON "diagnostics_proofphoto" ("photo_id");
CREATE INDEX "diagnostics_proofphoto_ticket_id_c57f6799" ON "diagnostics_proofphoto" ("ticket_id");
CREATE INDEX "diagnostics_donorpaper_board_id_9ebae1aa" ON "diagnostics_donorpaper" ("board_id");
CREATE INDEX "diagnostics_donorpaper_by_id_6342f844" ON "diagnostics_donorpaper" ("by_id");
CREATE INDEX "diagnostics_reading_board_id_726d356e" ON "diagnostics_reading" ("board_id");
CREATE INDEX "diagnostics_reading_by_id_9bd7a8f7" ON "diagnostics_reading" ("by_id");
CREATE INDEX "diagnostics_reading_meter_id_2516529a" ON "diagnostics_reading" ("meter_id");
CREATE INDEX "diagnostics_reading_note_id_245760ed" ON "diagnostics_reading" ("note_id");
CREATE INDEX "diagnostics_reading_ticket_id_2d1f82dc" ON "diagnostics_reading" ("ticket_id");
CREATE INDEX "reading_of_board" ON "diagnostics_reading" ("board_id", "id");
CREATE INDEX "reading_of_ticket" ON "diagnostics_reading" ("ticket_id", "id");
CREATE INDEX "reading_of_day" ON "diagnostics_reading" ("by_id", "check_id", "taken_at");
CREATE INDEX "reading_of_person" ON "diagnostics_reading" ("by_id", "taken_at");
CREATE INDEX "diagnostics_familyoffer_by_id_c6719c44" ON "diagnostics_familyoffer" ("by_id");
CREATE INDEX "diagnostics_familyoffer_shop_id_3d79c07c" ON "diagnostics_familyoffer" ("shop_id");
CREATE INDEX "calculation_of_person" ON "diagnostics_calculation" ("by_id", "at");
CREATE INDEX "finding_of_person" ON "diagnostics_finding" ("by_id", "at");
CREATE INDEX "intervention_of_person" ON "diagnostics_intervention" ("by_id", "at");
CREATE INDEX "machine_run_of_person" ON "diagnostics_machinerun" ("by_id", "started_at");
CREATE INDEX "part_test_step_of_person" ON "diagnostics_partteststep" ("by_id", "at");
CREATE INDEX "proof_item_of_person" ON "diagnostics_proofitem" ("by_id", "at");
CREATE INDEX "sighting_of_person" ON "diagnostics_sighting" ("by_id", "at");
CREATE INDEX "board_of_model" ON "diagnostics_board" ("board_model_id", "origin", "id");
CREATE INDEX "customer_with_account" ON "intake_customer" ("shop_id", "name") WHERE "is_account";
CREATE INDEX "mfa_authenticator_user_id_0c3a50c0" ON "mfa_authenticator" ("user_id");
CREATE UNIQUE INDEX "unique_authenticator_type" ON "mfa_authenticator" ("user_id", "type") WHERE "type" IN ('totp', 'recovery_codes');
CREATE INDEX "days_by_closing" ON "office_ticketdays" ("shop_id", "closed", "opened");
CREATE INDEX "office_weeklywish_person_id_45b7d1ec" ON "office_weeklywish" ("person_id");
CREATE INDEX "office_weeklywish_shop_id_95b38909" ON "office_weeklywish" ("shop_id");
CREATE INDEX "office_weeklysheet_shop_id_cc5c1488" ON "office_weeklysheet" ("shop_id");
CREATE INDEX "opening_importrun_by_id_76bf8501" ON "opening_importrun" ("by_id");
CREATE INDEX "opening_importrun_shop_id_ef63f2f6" ON "opening_importrun" ("shop_id");
CREATE INDEX "opening_importrow_run_id_40f2604f" ON "opening_importrow" ("run_id");
CREATE INDEX "line_by_state" ON "opening_importrow" ("run_id", "state");
CREATE INDEX "line_by_key" ON "opening_importrow" ("run_id", "key");
CREATE INDEX "line_by_second_key" ON "opening_importrow" ("run_id", "key_2");
CREATE INDEX "opening_stepdone_by_id_1733968e" ON "opening_stepdone" ("by_id");
CREATE INDEX "opening_stepdone_shop_id_ad3f3aa6" ON "opening_stepdone" ("shop_id");
CREATE INDEX "photo_of_person" ON "photos_photo" ("by_id", "received_at");
CREATE INDEX "printing_printjob_ticket_id_1564a703" ON "printing_printjob" ("ticket_id");
CREATE INDEX "printing_printjob_asked_by_id_48973851" ON "printing_printjob" ("asked_by_id");
CREATE INDEX "printing_printjob_shop_id_da288bfc" ON "printing_printjob" ("shop_id");
CREATE INDEX "paper_to_print" ON "printing_printjob" ("next_try_at") WHERE ("printed_at" IS NULL AND "withdrawn_at" IS NULL);
CREATE INDEX "printing_stationprinter_station_id_bc96c874" ON "printing_stationprinter" ("station_id");
CREATE INDEX "event_of_moment" ON "records_event" ("shop_id", "at", "id");
CREATE INDEX "event_of_person" ON "records_event" ("shop_id", "by_id", "at", "id");
CREATE INDEX "records_outgoingmessage_customer_id_2429b227" ON "records_outgoingmessage" ("customer_id");
CREATE INDEX "message_that_failed" ON "records_outgoingmessage" ("shop_id") WHERE ("given_up_at" IS NOT NULL AND "sent_at" IS NULL AND "withheld" = '');
CREATE INDEX "note_of_person" ON "records_note" ("by_id", "at");
CREATE INDEX "event_about_person" ON "records_event" ("person_id", "kind", "at") WHERE "person_id" IS NOT NULL;
CREATE INDEX "rights_period_by_id_30f183b4" ON "rights_period" ("by_id");
CREATE INDEX "rights_period_shop_id_451bef29" ON "rights_period" ("shop_id");
CREATE INDEX "searching_tickettext_shop_id_ade0c9ab" ON "searching_tickettext" ("shop_id");
CREATE INDEX "django_session_expire_date_a5c62663" ON "django_session" ("expire_date");
CREATE TRIGGER "people_shoptext_no_update" BEFORE UPDATE ON "people_shoptext" BEGIN SELECT RAISE(ABORT, 'rows of people_shoptext are never changed'); END;
CREATE TRIGGER "people_shoptext_no_delete" BEFORE DELETE ON "people_shoptext" BEGIN SELECT RAISE(ABORT, 'rows of people_shoptext are never changed'); END;
CREATE TRIGGER "people_textsread_no_update" BEFORE UPDATE ON "people_textsread" BEGIN SELECT RAISE(ABORT, 'rows of people_textsread are never changed'); END;
CREATE TRIGGER "people_textsread_no_delete" BEFORE DELETE ON "people_textsread" BEGIN SELECT RAISE(ABORT, 'rows of people_textsread are never changed'); END;
CREATE TRIGGER "people_logo_no_update" BEFORE UPDATE ON "people_logo" BEGIN SELECT RAISE(ABORT, 'rows of people_logo are never changed'); END;
CREATE TRIGGER "people_logo_no_delete" BEFORE DELETE ON "people_logo" BEGIN SELECT RAISE(ABORT, 'rows of people_logo are never changed'); END;
CREATE TRIGGER "people_officelimits_no_update" BEFORE UPDATE ON "people_officelimits" BEGIN SELECT RAISE(ABORT, 'rows of people_officelimits are never changed'); END;
CREATE TRIGGER "people_officelimits_no_delete" BEFORE DELETE ON "people_officelimits" BEGIN SELECT RAISE(ABORT, 'rows of people_officelimits are never changed'); END;
CREATE TRIGGER "people_zonechange_no_update" BEFORE UPDATE ON "people_zonechange" BEGIN SELECT RAISE(ABORT, 'rows of people_zonechange are never changed'); END;
CREATE TRIGGER "people_zonechange_no_delete" BEFORE DELETE ON "people_zonechange" BEGIN SELECT RAISE(ABORT, 'rows of people_zonechange are never changed'); END;
CREATE TRIGGER "intake_accountprices_no_update" BEFORE UPDATE ON "intake_accountprices" BEGIN SELECT RAISE(ABORT, 'rows of intake_accountprices are never changed'); END;
CREATE TRIGGER "intake_accountprices_no_delete" BEFORE DELETE ON "intake_accountprices" BEGIN SELECT RAISE(ABORT, 'rows of intake_accountprices are never changed'); END;
CREATE TRIGGER "records_event_no_update" BEFORE UPDATE ON "records_event" BEGIN SELECT RAISE(ABORT, 'rows of records_event are never changed'); END;
CREATE TRIGGER "records_event_no_delete" BEFORE DELETE ON "records_event" BEGIN SELECT RAISE(ABORT, 'rows of records_event are never changed'); END;
CREATE TRIGGER "billing_timeentry_no_update" BEFORE UPDATE ON "billing_timeentry" BEGIN SELECT RAISE(ABORT, 'rows of billing_timeentry are never changed'); END;
CREATE TRIGGER "billing_timeentry_no_delete" BEFORE DELETE ON "billing_timeentry" BEGIN SELECT RAISE(ABORT, 'rows of billing_timeentry are never changed'); END;
CREATE TRIGGER "billing_partuse_no_update" BEFORE UPDATE ON "billing_partuse" BEGIN SELECT RAISE(ABORT, 'rows of billing_partuse are never changed'); END;
CREATE TRIGGER "billing_partuse_no_delete" BEFORE DELETE ON "billing_partuse" BEGIN SELECT RAISE(ABORT, 'rows of billing_partuse are never changed'); END;
CREATE TRIGGER "billing_quoteline_no_update" BEFORE UPDATE ON "billing_quoteline" BEGIN SELECT RAISE(ABORT, 'rows of billing_quoteline are never changed'); END;
CREATE TRIGGER "billing_quoteline_no_delete" BEFORE DELETE ON "billing_quoteline" BEGIN SELECT RAISE(ABORT, 'rows of billing_quoteline are never changed'); END;
CREATE TRIGGER "billing_confirmedday_no_update" BEFORE UPDATE ON "billing_confirmedday" BEGIN SELECT RAISE(ABORT, 'rows of billing_confirmedday are never changed'); END;
CREATE TRIGGER "billing_confirmedday_no_delete" BEFORE DELETE ON "billing_confirmedday" BEGIN SELECT RAISE(ABORT, 'rows of billing_confirmedday are never changed'); END;
CREATE TRIGGER "billing_quotedraftline_no_update" BEFORE UPDATE ON "billing_quotedraftline" BEGIN SELECT RAISE(ABORT, 'rows of billing_quotedraftline are never changed'); END;
CREATE TRIGGER "billing_quotedraftline_no_delete" BEFORE DELETE ON "billing_quotedraftline" BEGIN SELECT RAISE(ABORT, 'rows of billing_quotedraftline are never changed'); END;
CREATE TRIGGER "billing_invoicetax_no_update" BEFORE UPDATE ON "billing_invoicetax" BEGIN SELECT RAISE(ABORT, 'rows of billing_invoicetax are never changed'); END;
CREATE TRIGGER "billing_invoicetax_no_delete" BEFORE DELETE ON "billing_invoicetax" BEGIN SELECT RAISE(ABORT, 'rows of billing_invoicetax are never changed'); END;
CREATE TRIGGER "billing_accountinvoice_no_update" BEFORE UPDATE ON "billing_accountinvoice" BEGIN SELECT RAISE(ABORT, 'rows of billing_accountinvoice are never changed'); END;
CREATE TRIGGER "billing_accountinvoice_no_delete" BEFORE DELETE ON "billing_accountinvoice" BEGIN SELECT RAISE(ABORT, 'rows of billing_accountinvoice are never changed'); END;
CREATE TRIGGER "billing_invoiceline_no_update" BEFORE UPDATE ON "billing_invoiceline" BEGIN SELECT RAISE(ABORT, 'rows of billing_invoiceline are never changed'); END;
CREATE TRIGGER "billing_invoiceline_no_delete" BEFORE DELETE ON "billing_invoiceline" BEGIN SELECT RAISE(ABORT, 'rows of billing_invoiceline are never changed'); END;
CREATE TRIGGER "billing_invoice_no_update" BEFORE UPDATE OF "id", "kind", "number", "serial", "currency", "seller", "evidence", "net_minor", "tax_minor", "total_minor", "prepaid_minor", "due_on", "warranty_until", "texts", "issued_at", "by_id", "shop_id", "ticket_id", "plain_because", "is_partial", "corrects_id" ON "billing_invoice" BEGIN SELECT RAISE(ABORT, 'rows of billing_invoice are never changed'); END;
CREATE TRIGGER "billing_invoice_no_delete" BEFORE DELETE ON "billing_invoice" BEGIN SELECT RAISE(ABORT, 'rows of billing_invoice are never changed'); END;
CREATE TRIGGER "billing_invoice_buyer_no_update" BEFORE UPDATE OF "buyer" ON "billing_invoice" WHEN NEW."buyer" <> '{}' BEGIN SELECT RAISE(ABORT, 'rows of billing_invoice are never changed'); END;
CREATE TRIGGER "billing_invoice_device_no_update" BEFORE UPDATE OF "device" ON "billing_invoice" WHEN NEW."device" <> '{}' BEGIN SELECT RAISE(ABORT, 'rows of billing_invoice are never changed'); END;
CREATE TRIGGER "billing_invoice_story_no_update" BEFORE UPDATE OF "story" ON "billing_invoice" WHEN NEW."story" <> '{}' BEGIN SELECT RAISE(ABORT, 'rows of billing_invoice are never changed'); END;
CREATE TRIGGER "billing_payment_no_update" BEFORE UPDATE OF "id", "currency", "amount_minor", "method", "at", "by_id", "invoice_id", "shop_id", "ticket_id", "rounding_minor" ON "billing_payment" BEGIN SELECT RAISE(ABORT, 'rows of billing_payment are never changed'); END;
CREATE TRIGGER "billing_payment_no_delete" BEFORE DELETE ON "billing_payment" BEGIN SELECT RAISE(ABORT, 'rows of billing_payment are never changed'); END;
CREATE TRIGGER "billing_payment_reference_no_update" BEFORE UPDATE OF "reference" ON "billing_payment" WHEN NEW."reference" <> '' BEGIN SELECT RAISE(ABORT, 'rows of billing_payment are never changed'); END;
CREATE TRIGGER "billing_payment_back_reason_no_update" BEFORE UPDATE OF "back_reason" ON "billing_payment" WHEN NEW."back_reason" <> '' BEGIN SELECT RAISE(ABORT, 'rows of billing_payment are never changed'); END;
CREATE TRIGGER "billing_quotedraft_no_update" BEFORE UPDATE OF "id", "version", "at", "by_id", "ticket_id", "risks" ON "billing_quotedraft" BEGIN SELECT RAISE(ABORT, 'rows of billing_quotedraft are never changed'); END;
CREATE TRIGGER "billing_quotedraft_no_delete" BEFORE DELETE ON "billing_quotedraft" BEGIN SELECT RAISE(ABORT, 'rows of billing_quotedraft are never changed'); END;
CREATE TRIGGER "billing_quotedraft_cause_no_update" BEFORE UPDATE OF "cause" ON "billing_quotedraft" WHEN NEW."cause" <> '' BEGIN SELECT RAISE(ABORT, 'rows of billing_quotedraft are never changed'); END;
CREATE TRIGGER "billing_loan_no_update" BEFORE UPDATE ON "billing_loan" BEGIN SELECT RAISE(ABORT, 'rows of billing_loan are never changed'); END;
CREATE TRIGGER "billing_loan_no_delete" BEFORE DELETE ON "billing_loan" BEGIN SELECT RAISE(ABORT, 'rows of billing_loan are never changed'); END;
CREATE TRIGGER "billing_loanreturn_no_update" BEFORE UPDATE ON "billing_loanreturn" BEGIN SELECT RAISE(ABORT, 'rows of billing_loanreturn are never changed'); END;
CREATE TRIGGER "billing_loanreturn_no_delete" BEFORE DELETE ON "billing_loanreturn" BEGIN SELECT RAISE(ABORT, 'rows of billing_loanreturn are never changed'); END;
CREATE TRIGGER "billing_stockmove_no_update" BEFORE UPDATE ON "billing_stockmove" BEGIN SELECT RAISE(ABORT, 'rows of billing_stockmove are never changed'); END;
CREATE TRIGGER "billing_stockmove_no_delete" BEFORE DELETE ON "billing_stockmove" BEGIN SELECT RAISE(ABORT, 'rows of billing_stockmove are never changed'); END;
CREATE TRIGGER "billing_lotdraw_no_update" BEFORE UPDATE ON "billing_lotdraw" BEGIN SELECT RAISE(ABORT, 'rows of billing_lotdraw are never changed'); END;
CREATE TRIGGER "billing_lotdraw_no_delete" BEFORE DELETE ON "billing_lotdraw" BEGIN SELECT RAISE(ABORT, 'rows of billing_lotdraw are never changed'); END;
CREATE TRIGGER "billing_stockcount_no_update" BEFORE UPDATE ON "billing_stockcount" BEGIN SELECT RAISE(ABORT, 'rows of billing_stockcount are never changed'); END;
CREATE TRIGGER "billing_stockcount_no_delete" BEFORE DELETE ON "billing_stockcount" BEGIN SELECT RAISE(ABORT, 'rows of billing_stockcount are never changed'); END;
CREATE TRIGGER "billing_claim_no_update" BEFORE UPDATE ON "billing_claim" BEGIN SELECT RAISE(ABORT, 'rows of billing_claim are never changed'); END;
CREATE TRIGGER "billing_claim_no_delete" BEFORE DELETE ON "billing_claim" BEGIN SELECT RAISE(ABORT, 'rows of billing_claim are never changed'); END;
CREATE TRIGGER "billing_claimend_no_update" BEFORE UPDATE ON "billing_claimend" BEGIN SELECT RAISE(ABORT, 'rows of billing_claimend are never changed'); END;
CREATE TRIGGER "billing_claimend_no_delete" BEFORE DELETE ON "billing_claimend" BEGIN SELECT RAISE(ABORT, 'rows of billing_claimend are never changed'); END;
CREATE TRIGGER "billing_linemove_no_update" BEFORE UPDATE ON "billing_linemove" BEGIN SELECT RAISE(ABORT, 'rows of billing_linemove are never changed'); END;
CREATE TRIGGER "billing_linemove_no_delete" BEFORE DELETE ON "billing_linemove" BEGIN SELECT RAISE(ABORT, 'rows of billing_linemove are never changed'); END;
CREATE TRIGGER "billing_paidtogether_no_update" BEFORE UPDATE ON "billing_paidtogether" BEGIN SELECT RAISE(ABORT, 'rows of billing_paidtogether are never changed'); END;
CREATE TRIGGER "billing_paidtogether_no_delete" BEFORE DELETE ON "billing_paidtogether" BEGIN SELECT RAISE(ABORT, 'rows of billing_paidtogether are never changed'); END;
CREATE TRIGGER "billing_quote_no_update" BEFORE UPDATE OF "id", "version", "currency", "net_minor", "tax_minor", "total_minor", "cap_minor", "deposit_minor", "valid_until", "sent_at", "by_id", "ticket_id", "option", "option_title", "seller" ON "billing_quote" BEGIN SELECT RAISE(ABORT, 'rows of billing_quote are never changed'); END;
CREATE TRIGGER "billing_quote_no_delete" BEFORE DELETE ON "billing_quote" BEGIN SELECT RAISE(ABORT, 'rows of billing_quote are never changed'); END;
CREATE TRIGGER "billing_quote_cause_no_update" BEFORE UPDATE OF "cause" ON "billing_quote" WHEN NEW."cause" <> '' BEGIN SELECT RAISE(ABORT, 'rows of billing_quote are never changed'); END;
CREATE TRIGGER "billing_quote_risk_no_update" BEFORE UPDATE OF "risk" ON "billing_quote" WHEN NEW."risk" <> '' BEGIN SELECT RAISE(ABORT, 'rows of billing_quote are never changed'); END;
CREATE TRIGGER "books_cashmove_no_update" BEFORE UPDATE ON "books_cashmove" BEGIN SELECT RAISE(ABORT, 'rows of books_cashmove are never changed'); END;
CREATE TRIGGER "books_cashmove_no_delete" BEFORE DELETE ON "books_cashmove" BEGIN SELECT RAISE(ABORT, 'rows of books_cashmove are never changed'); END;
CREATE TRIGGER "books_cashday_no_update" BEFORE UPDATE ON "books_cashday" BEGIN SELECT RAISE(ABORT, 'rows of books_cashday are never changed'); END;
CREATE TRIGGER "books_cashday_no_delete" BEFORE DELETE ON "books_cashday" BEGIN SELECT RAISE(ABORT, 'rows of books_cashday are never changed'); END;
CREATE TRIGGER "books_daypayment_no_update" BEFORE UPDATE ON "books_daypayment" BEGIN SELECT RAISE(ABORT, 'rows of books_daypayment are never changed'); END;
CREATE TRIGGER "books_daypayment_no_delete" BEFORE DELETE ON "books_daypayment" BEGIN SELECT RAISE(ABORT, 'rows of books_daypayment are never changed'); END;
CREATE TRIGGER "books_daymove_no_update" BEFORE UPDATE ON "books_daymove" BEGIN SELECT RAISE(ABORT, 'rows of books_daymove are never changed'); END;
CREATE TRIGGER "books_daymove_no_delete" BEFORE DELETE ON "books_daymove" BEGIN SELECT RAISE(ABORT, 'rows of books_daymove are never changed'); END;
CREATE TRIGGER "books_reminderrule_no_update" BEFORE UPDATE ON "books_reminderrule" BEGIN SELECT RAISE(ABORT, 'rows of books_reminderrule are never changed'); END;
CREATE TRIGGER "books_reminderrule_no_delete" BEFORE DELETE ON "books_reminderrule" BEGIN SELECT RAISE(ABORT, 'rows of books_reminderrule are never changed'); END;
CREATE TRIGGER "books_paymentreminder_no_update" BEFORE UPDATE ON "books_paymentreminder" BEGIN SELECT RAISE(ABORT, 'rows of books_paymentreminder are never changed'); END;
CREATE TRIGGER "books_paymentreminder_no_delete" BEFORE DELETE ON "books_paymentreminder" BEGIN SELECT RAISE(ABORT, 'rows of books_paymentreminder are never changed'); END;
CREATE TRIGGER "books_accountname_no_update" BEFORE UPDATE ON "books_accountname" BEGIN SELECT RAISE(ABORT, 'rows of books_accountname are never changed'); END;
CREATE TRIGGER "books_accountname_no_delete" BEFORE DELETE ON "books_accountname" BEGIN SELECT RAISE(ABORT, 'rows of books_accountname are never changed'); END;
CREATE TRIGGER "books_daydeposit_no_update" BEFORE UPDATE ON "books_daydeposit" BEGIN SELECT RAISE(ABORT, 'rows of books_daydeposit are never changed'); END;
CREATE TRIGGER "books_daydeposit_no_delete" BEFORE DELETE ON "books_daydeposit" BEGIN SELECT RAISE(ABORT, 'rows of books_daydeposit are never changed'); END;
CREATE TRIGGER "diagnostics_gateoverride_no_update" BEFORE UPDATE ON "diagnostics_gateoverride" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_gateoverride are never changed'); END;
CREATE TRIGGER "diagnostics_gateoverride_no_delete" BEFORE DELETE ON "diagnostics_gateoverride" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_gateoverride are never changed'); END;
CREATE TRIGGER "diagnostics_finding_no_update" BEFORE UPDATE ON "diagnostics_finding" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_finding are never changed'); END;
CREATE TRIGGER "diagnostics_finding_no_delete" BEFORE DELETE ON "diagnostics_finding" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_finding are never changed'); END;
CREATE TRIGGER "diagnostics_boardmodelrevision_no_update" BEFORE UPDATE ON "diagnostics_boardmodelrevision" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_boardmodelrevision are never changed'); END;
CREATE TRIGGER "diagnostics_boardmodelrevision_no_delete" BEFORE DELETE ON "diagnostics_boardmodelrevision" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_boardmodelrevision are never changed'); END;
CREATE TRIGGER "diagnostics_keptgood_no_update" BEFORE UPDATE ON "diagnostics_keptgood" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_keptgood are never changed'); END;
CREATE TRIGGER "diagnostics_keptgood_no_delete" BEFORE DELETE ON "diagnostics_keptgood" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_keptgood are never changed'); END;
CREATE TRIGGER "diagnostics_intervention_no_update" BEFORE UPDATE ON "diagnostics_intervention" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_intervention are never changed'); END;
CREATE TRIGGER "diagnostics_intervention_no_delete" BEFORE DELETE ON "diagnostics_intervention" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_intervention are never changed'); END;
CREATE TRIGGER "diagnostics_parttest_no_update" BEFORE UPDATE ON "diagnostics_parttest" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_parttest are never changed'); END;
CREATE TRIGGER "diagnostics_parttest_no_delete" BEFORE DELETE ON "diagnostics_parttest" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_parttest are never changed'); END;
CREATE TRIGGER "diagnostics_partteststep_no_update" BEFORE UPDATE ON "diagnostics_partteststep" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_partteststep are never changed'); END;
CREATE TRIGGER "diagnostics_partteststep_no_delete" BEFORE DELETE ON "diagnostics_partteststep" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_partteststep are never changed'); END;
CREATE TRIGGER "diagnostics_calculation_no_update" BEFORE UPDATE ON "diagnostics_calculation" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_calculation are never changed'); END;
CREATE TRIGGER "diagnostics_calculation_no_delete" BEFORE DELETE ON "diagnostics_calculation" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_calculation are never changed'); END;
CREATE TRIGGER "diagnostics_advice_no_update" BEFORE UPDATE ON "diagnostics_advice" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_advice are never changed'); END;
CREATE TRIGGER "diagnostics_advice_no_delete" BEFORE DELETE ON "diagnostics_advice" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_advice are never changed'); END;
CREATE TRIGGER "diagnostics_sighting_no_update" BEFORE UPDATE ON "diagnostics_sighting" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_sighting are never changed'); END;
CREATE TRIGGER "diagnostics_sighting_no_delete" BEFORE DELETE ON "diagnostics_sighting" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_sighting are never changed'); END;
CREATE TRIGGER "diagnostics_suspectword_no_update" BEFORE UPDATE ON "diagnostics_suspectword" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_suspectword are never changed'); END;
CREATE TRIGGER "diagnostics_suspectword_no_delete" BEFORE DELETE ON "diagnostics_suspectword" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_suspectword are never changed'); END;
CREATE TRIGGER "diagnostics_machinerun_no_update" BEFORE UPDATE ON "diagnostics_machinerun" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_machinerun are never changed'); END;
CREATE TRIGGER "diagnostics_machinerun_no_delete" BEFORE DELETE ON "diagnostics_machinerun" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_machinerun are never changed'); END;
CREATE TRIGGER "diagnostics_machineend_no_update" BEFORE UPDATE ON "diagnostics_machineend" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_machineend are never changed'); END;
CREATE TRIGGER "diagnostics_machineend_no_delete" BEFORE DELETE ON "diagnostics_machineend" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_machineend are never changed'); END;
CREATE TRIGGER "diagnostics_circuitword_no_update" BEFORE UPDATE ON "diagnostics_circuitword" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_circuitword are never changed'); END;
CREATE TRIGGER "diagnostics_circuitword_no_delete" BEFORE DELETE ON "diagnostics_circuitword" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_circuitword are never changed'); END;
CREATE TRIGGER "diagnostics_conditionset_no_update" BEFORE UPDATE ON "diagnostics_conditionset" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_conditionset are never changed'); END;
CREATE TRIGGER "diagnostics_conditionset_no_delete" BEFORE DELETE ON "diagnostics_conditionset" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_conditionset are never changed'); END;
CREATE TRIGGER "diagnostics_passedby_no_update" BEFORE UPDATE ON "diagnostics_passedby" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_passedby are never changed'); END;
CREATE TRIGGER "diagnostics_passedby_no_delete" BEFORE DELETE ON "diagnostics_passedby" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_passedby are never changed'); END;
CREATE TRIGGER "diagnostics_takenoff_no_update" BEFORE UPDATE ON "diagnostics_takenoff" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_takenoff are never changed'); END;
CREATE TRIGGER "diagnostics_takenoff_no_delete" BEFORE DELETE ON "diagnostics_takenoff" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_takenoff are never changed'); END;
CREATE TRIGGER "diagnostics_proofitem_no_update" BEFORE UPDATE ON "diagnostics_proofitem" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_proofitem are never changed'); END;
CREATE TRIGGER "diagnostics_proofitem_no_delete" BEFORE DELETE ON "diagnostics_proofitem" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_proofitem are never changed'); END;
CREATE TRIGGER "diagnostics_prooflevel_no_update" BEFORE UPDATE ON "diagnostics_prooflevel" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_prooflevel are never changed'); END;
CREATE TRIGGER "diagnostics_prooflevel_no_delete" BEFORE DELETE ON "diagnostics_prooflevel" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_prooflevel are never changed'); END;
CREATE TRIGGER "diagnostics_proofphoto_no_update" BEFORE UPDATE ON "diagnostics_proofphoto" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_proofphoto are never changed'); END;
CREATE TRIGGER "diagnostics_proofphoto_no_delete" BEFORE DELETE ON "diagnostics_proofphoto" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_proofphoto are never changed'); END;
CREATE TRIGGER "diagnostics_donorpaper_no_update" BEFORE UPDATE ON "diagnostics_donorpaper" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_donorpaper are never changed'); END;
CREATE TRIGGER "diagnostics_donorpaper_no_delete" BEFORE DELETE ON "diagnostics_donorpaper" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_donorpaper are never changed'); END;
CREATE TRIGGER "diagnostics_reading_no_update" BEFORE UPDATE ON "diagnostics_reading" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_reading are never changed'); END;
CREATE TRIGGER "diagnostics_reading_no_delete" BEFORE DELETE ON "diagnostics_reading" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_reading are never changed'); END;
CREATE TRIGGER "diagnostics_familyoffer_no_update" BEFORE UPDATE ON "diagnostics_familyoffer" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_familyoffer are never changed'); END;
CREATE TRIGGER "diagnostics_familyoffer_no_delete" BEFORE DELETE ON "diagnostics_familyoffer" BEGIN SELECT RAISE(ABORT, 'rows of diagnostics_familyoffer are never changed'); END;
CREATE TRIGGER searching_texts_in AFTER INSERT ON searching_tickettext BEGIN INSERT INTO searching_texts(rowid, text) VALUES (new.ticket_id, new.text); INSERT INTO searching_trigrams_words(word) SELECT * FROM (SELECT '0' || value || '0' FROM  
    json_each('["' || replace(substr(new.text, 1, instr(new.text, '01')), '0', '","') || '"]')
 WHERE value <> '' UNION SELECT '1' || value || '1' FROM  
    json_each('["' || replace(substr(new.text, instr(new.text, '01') + 1), '1', '","') || '"]')
 WHERE value <> '') EXCEPT SELECT word FROM searching_trigrams_words WHERE word IN (SELECT '0' || value || '0' FROM  
    json_each('["' || replace(substr(new.text, 1, instr(new.text, '01')), '0', '","') || '"]')
 WHERE value <> '' UNION SELECT '1' || value || '1' FROM  
    json_each('["' || replace(substr(new.text, instr(new.text, '01') + 1), '1', '","') || '"]')
 WHERE value <> ''); END;
CREATE TRIGGER searching_texts_out AFTER DELETE ON searching_tickettext BEGIN INSERT INTO searching_texts(searching_texts, rowid, text) VALUES ('delete', old.ticket_id, old.text); DELETE FROM searching_trigrams_words WHERE word IN (SELECT * FROM (SELECT '0' || value || '0' FROM  
    json_each('["' || replace(substr(old.text, 1, instr(old.text, '01')), '0', '","') || '"]')
 WHERE value <> '' UNION SELECT '1' || value || '1' FROM  
    json_each('["' || replace(substr(old.text, instr(old.text, '01') + 1), '1', '","') || '"]')
 WHERE value <> '') ) AND NOT EXISTS (SELECT 1 FROM searching_texts f JOIN searching_tickettext t ON t.ticket_id = f.rowid WHERE f.searching_texts MATCH '"' || trim(word, '01') || '"' AND instr(t.text, word) > 0); END;
CREATE TRIGGER searching_texts_anew AFTER UPDATE ON searching_tickettext BEGIN INSERT INTO searching_texts(searching_texts, rowid, text) VALUES ('delete', old.ticket_id, old.text); INSERT INTO searching_texts(rowid, text) VALUES (new.ticket_id, new.text); INSERT INTO searching_trigrams_words(word) SELECT * FROM (SELECT '0' || value || '0' FROM  
    json_each('["' || replace(substr(new.text, 1, instr(new.text, '01')), '0', '","') || '"]')
 WHERE value <> '' UNION SELECT '1' || value || '1' FROM  
    json_each('["' || replace(substr(new.text, instr(new.text, '01') + 1), '1', '","') || '"]')
 WHERE value <> '') EXCEPT SELECT word FROM searching_trigrams_words WHERE word IN (SELECT '0' || value || '0' FROM  
    json_each('["' || replace(substr(new.text, 1, instr(new.text, '01')), '0', '","') || '"]')
 WHERE value <> '' UNION SELECT '1' || value || '1' FROM  
    json_each('["' || replace(substr(new.text, instr(new.text, '01') + 1), '1', '","') || '"]')
 WHERE value <> ''); DELETE FROM searching_trigrams_words WHERE word IN (SELECT * FROM (SELECT '0' || value || '0' FROM  
    json_each('["' || replace(substr(old.text, 1, instr(old.text, '01')), '0', '","') || '"]')
 WHERE value <> '' UNION SELECT '1' || value || '1' FROM  
    json_each('["' || replace(substr(old.text, instr(old.text, '01') + 1), '1', '","') || '"]')
 WHERE value <> '') EXCEPT SELECT * FROM (SELECT '0' || value || '0' FROM  
    json_each('["' || replace(substr(new.text, 1, instr(new.text, '01')), '0', '","') || '"]')
 WHERE value <> '' UNION SELECT '1' || value || '1' FROM  
    json_each('["' || replace(substr(new.text, instr(new.text, '01') + 1), '1', '","') || '"]')
 WHERE value <> '')) AND NOT EXISTS (SELECT 1 FROM searching_texts f JOIN searching_tickettext t ON t.ticket_id = f.rowid WHERE f.searching_texts MATCH '"' || trim(word, '01') || '"' AND instr(t.text, word) > 0); END;
CREATE TRIGGER searching_trigrams_in AFTER INSERT ON searching_trigrams_words BEGIN INSERT INTO searching_trigrams(rowid, word) VALUES (new.id, new.word); END;
CREATE TRIGGER searching_trigrams_out AFTER DELETE ON searching_trigrams_words BEGIN INSERT INTO searching_trigrams(searching_trigrams, rowid, word) VALUES ('delete', old.id, old.word); END;
