"""Which deposits lay in a till that was counted before tills knew of deposits."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor


def counted_before(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """Deposits of before the last count lay in the till that was counted."""
    day = apps.get_model("books", "CashDay")
    link = apps.get_model("books", "DayDeposit")
    for shop in day.objects.order_by().values_list("shop", flat=True).distinct():
        last = day.objects.filter(shop=shop).latest("serial").at
        loans = apps.get_model("billing", "Loan").objects.filter(
            device__shop=shop, given_at__lte=last, deposit_minor__gt=0
        )
        returns = apps.get_model("billing", "LoanReturn").objects.filter(
            loan__device__shop=shop, at__lte=last, loan__deposit_minor__gt=0
        )
        link.objects.bulk_create(
            [
                *(link(loan=loan) for loan in loans),
                *(link(back=back) for back in returns),
            ]
        )


class Migration(migrations.Migration):
    dependencies = [("books", "0003_loan_deposits_in_the_till")]

    operations = [
        migrations.RunPython(counted_before, migrations.RunPython.noop),
    ]
