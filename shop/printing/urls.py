from django.urls import path

from shop.printing import views

app_name = "printing"
urlpatterns = [
    path("", views.station, name="station"),
    path("test/", views.test, name="test"),
    path("of/<int:ticket_id>/", views.waiting, name="waiting"),
    path("papers/<int:job_id>.pdf", views.job_pdf, name="job_pdf"),
    path("papers/<int:job_id>/again/", views.again, name="again"),
    path("papers/<int:job_id>/here/", views.here, name="here"),
]
