from django.apps import AppConfig


class IntakeConfig(AppConfig):
    name = "shop.intake"
    label = "intake"

    def ready(self) -> None:
        from shop.intake import passcodes, printed  # noqa: PLC0415  models are ready now

        passcodes.listen()
        printed.offer()
