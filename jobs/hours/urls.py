from django.urls import path

from jobs.hours import views, views_book, views_pay

app_name = "hours"
urlpatterns = [
    path("", views.all_hours, name="all"),
    path("add/", views.add, name="add"),
    path("confirm/", views.to_confirm, name="to-confirm"),
    path("rates/", views.rates, name="rates"),
    path("rates/add/", views.add_rate, name="add-rate"),
    path("paid/", views_pay.paid, name="paid"),
    path("paid/decide/", views_pay.decide_pay, name="decide-pay"),
    path("paid/bill/", views_pay.bill, name="bill"),
    path("why/<str:number>/", views_book.why, name="why"),
    path("<str:code>/", views.row, name="row"),
    path("<str:code>/confirm/", views.confirm, name="confirm"),
    path("<str:code>/take-back/", views.take_back, name="take-back"),
]
