from django.urls import path

from fund.receipts import views, views_bills, views_draft, views_insurance, views_look, views_returns

app_name = "receipts"
urlpatterns = [
    path("", views.receipts, name="all"),
    path("new/", views.enter, name="new"),
    path("sum/", views.sum_so_far, name="sum"),
    path("bills/", views_bills.bills, name="bills"),
    path("bills/<int:number>/pay/", views_bills.pay, name="pay-bill"),
    path("bills/<int:number>/statement/", views_bills.statement, name="statement"),
    path("bills/questions/<str:code>/", views_bills.answer, name="answer"),
    path("claims/", views_returns.all_claims, name="claims"),
    path("claims/<str:code>/", views_returns.claim, name="claim"),
    path("claims/<str:code>/end/", views_returns.settle, name="settle"),
    path("second-look/", views_look.looks, name="looks"),
    path("second-look/answered/", views_look.answers, name="look-answers"),
    path("second-look/<str:key>/", views_look.look, name="look"),
    path("<str:code>/", views.receipt, name="receipt"),
    path("<str:code>/edit/", views.edit, name="edit"),
    path("<str:code>/photo/", views_draft.photo, name="photo"),
    path("<str:code>/post/", views_draft.post, name="post"),
    path("<str:code>/throw-away/", views_draft.drop, name="drop"),
    path("<str:code>/lines/<int:number>/go-back/", views_returns.go_back, name="go-back"),
    path("<str:code>/lines/<int:number>/insurer/", views_insurance.insurer, name="insurer"),
    path("<str:code>/claim-tax/", views_returns.tax, name="claim-tax"),
    path("<str:code>/paid-twice/", views_draft.paid_twice, name="paid-twice"),
    path("<str:code>/take-back/", views_draft.undo, name="take-back"),
]
