from django.urls import path

from fund.repayments import views, views_advances, views_due, views_miles, views_petty

app_name = "repayments"
urlpatterns = [
    path("", views.owed, name="owed"),
    path("me/", views.mine, name="mine"),
    path("me/give/", views.give, name="give"),
    path("petty/", views_petty.petty, name="petty"),
    path("petty/set/", views_petty.set_float, name="petty-set"),
    path("petty/top-up/", views_petty.top_up, name="petty-top-up"),
    path("petty/count/", views_petty.count, name="petty-count"),
    path("miles/", views_miles.miles, name="miles"),
    path("miles/new/", views_miles.enter, name="miles-new"),
    path("miles/rates/", views_miles.rates, name="mileage-rates"),
    path("miles/rates/add/", views_miles.add_rate, name="mileage-rate-add"),
    path("miles/<str:code>/take-back/", views_miles.take_back, name="miles-take-back"),
    path("advances/", views_advances.held, name="advances"),
    path("advances/all/", views_advances.all_advances, name="all-advances"),
    path("advances/<str:code>/", views_advances.advance, name="advance"),
    path("advances/<str:code>/release/", views_advances.release, name="advance-release"),
    path("advances/<str:code>/cancel/", views_advances.cancel, name="advance-cancel"),
    path("payments/", views.payments, name="payments"),
    path("payments/<str:code>/", views.payment, name="payment"),
    path("payments/<str:code>/release/", views.release, name="release"),
    path("payments/<str:code>/cancel/", views.cancel, name="cancel"),
    path("payments/<str:code>/stop/", views.stop, name="stop"),
    path("to/<str:code>/", views.person, name="person"),
    path("to/<str:code>/prepare/", views.prepare, name="prepare"),
    path("to/<str:code>/paid-back/", views_due.settle, name="settle"),
    path("to/<str:code>/overpaid/", views_due.overpaid, name="overpaid"),
    path("to/<str:code>/advance/", views_advances.prepare, name="advance-new"),
    path("to/<str:code>/advance-back/", views_due.advance_back, name="advance-back"),
]
