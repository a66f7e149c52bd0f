from django.urls import path

from fund.ledger import views, views_hand

app_name = "ledger"
urlpatterns = [
    path("", views.entries, name="entries"),
    path("entries/<int:number>/", views.entry, name="entry"),
    path("entries/post/", views_hand.post_entry, name="post-entry"),
    path("entries/<int:number>/reverse/", views_hand.reverse_entry, name="reverse-entry"),
    path("lines/", views.lines, name="lines"),
    path("accounts/", views.accounts, name="accounts"),
    path("accounts/<str:code>/", views.account, name="account"),
    path("trial-balance/", views.trial_balance, name="trial-balance"),
    path("purposes/", views.purposes, name="purposes"),
    path("purposes/add/", views.purpose_add, name="purpose-add"),
    path("purposes/<slug:code>/", views.purpose, name="purpose"),
]
