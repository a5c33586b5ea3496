"""A line as every paper about money has it."""

from decimal import Decimal

from django.db import models


class DocumentLine(models.Model):
    """A line of a quote or an invoice: what, how much, at which price and tax."""

    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=40)
    text = models.CharField(max_length=200)
    quantity_thousandths = models.BigIntegerField()
    unit = models.CharField(max_length=3, default="C62")
    unit_price_ten_thousandths = models.BigIntegerField()
    tax_category = models.CharField(max_length=2, default="S")
    tax_basis_points = models.PositiveIntegerField()
    net_minor = models.BigIntegerField()

    class Meta:
        abstract = True
        ordering = ["position"]

    def __str__(self) -> str:
        return self.text

    @property
    def quantity(self) -> Decimal:
        return Decimal(self.quantity_thousandths).scaleb(-3).normalize()

    @property
    def unit_price(self) -> Decimal:
        return Decimal(self.unit_price_ten_thousandths).scaleb(-4)

    @property
    def tax_percent(self) -> Decimal:
        return Decimal(self.tax_basis_points).scaleb(-2).normalize()
