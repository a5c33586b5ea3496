from django.urls import path

from shop.billing.shelf import count_views, order_views, receive_views, views

ITEM, LINE = "stock/<int:item_id>", "stock/orders/<int:line_id>"
urlpatterns = [
    path("stock/", views.stock, name="stock"),
    path("stock/new/", views.stock_new, name="stock_new"),
    path("stock/count/", count_views.stock_count, name="stock_count"),
    path("stock/receive/", receive_views.receive, name="receive"),
    path(
        "stock/receive/<int:line_id>/", receive_views.receive_line, name="receive_line"
    ),
    path(
        "stock/receive/<int:line_id>/wrong/",
        receive_views.receive_wrong,
        name="receive_wrong",
    ),
    path("stock/lots/<int:lot_id>/wrong/", receive_views.lot_wrong, name="lot_wrong"),
    path(
        "tickets/<str:number>/part/<int:use_id>/wrong/",
        receive_views.use_wrong,
        name="use_wrong",
    ),
    path("stock/claims/", receive_views.claims, name="claims"),
    path("stock/claims/<int:claim_id>/", receive_views.claim_end, name="claim_end"),
    path("stock/orders/", order_views.orders, name="orders"),
    path(f"{LINE}/order.pdf", order_views.order_pdf, name="order_pdf"),
    path(f"{LINE}/late/", order_views.line_put_off, name="line_put_off"),
    path(f"{LINE}/cancel/", order_views.line_cancel, name="line_cancel"),
    path(f"{ITEM}/", views.stock_item, name="stock_item"),
    path(f"{ITEM}/change/", views.stock_change, name="stock_change"),
    path(f"{ITEM}/bring-in/", views.stock_bring, name="stock_bring"),
    path(f"{ITEM}/order/", order_views.stock_order, name="stock_order"),
    path(f"{ITEM}/keep/", views.stock_keep, name="stock_keep"),
    path(f"{ITEM}/kept/<int:move_id>/let-go/", views.stock_let_go, name="stock_let_go"),
]
