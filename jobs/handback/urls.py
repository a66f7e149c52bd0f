from django.urls import path

from jobs.handback import views, views_comeback, views_proof, views_refusal

app_name = "handback"
urlpatterns = [
    path("after/reminders/", views_proof.all_reminders, name="reminders"),
    path("after/reminders/<int:pk>/", views_proof.reminder, name="reminder"),
    path("after/comebacks/", views_comeback.all_comebacks, name="comebacks"),
    path("<str:number>/road-test/", views.road_test, name="road-test"),
    path("<str:number>/road-tests/<int:pk>/", views.one_road_test, name="one-road-test"),
    path("<str:number>/check-list/", views_proof.check_list, name="check-list"),
    path("<str:number>/check-lists/<int:pk>/", views_proof.one_check_list, name="one-check-list"),
    path("<str:number>/unsafe/", views_refusal.unsafe, name="unsafe"),
    path("<str:number>/unsafe/new/", views_refusal.refuse, name="refuse"),
    path("<str:number>/unsafe/paper/", views_refusal.refusal_paper, name="refusal-paper"),
    path("<str:number>/unsafe/sign/", views_refusal.sign_refusal, name="sign-refusal"),
    path("<str:number>/unsafe/<int:pk>/signed.pdf", views_refusal.refusal_pdf, name="refusal-pdf"),
    path("<str:number>/unsafe/<int:pk>/agreed/", views_refusal.agreed, name="agreed"),
    path("<str:number>/unsafe/<int:pk>/untested/", views_refusal.untested, name="untested"),
    path("<str:number>/comeback/", views_comeback.open_new, name="comeback"),
    path("<str:number>/came-back/", views_comeback.comeback, name="one-comeback"),
    path("<str:number>/came-back/fault/", views_comeback.fault, name="fault"),
    path("<str:number>/came-back/begin/", views_comeback.begin, name="begin"),
    path("<str:number>/hand-back/", views.hand_back, name="hand-back"),
    path("<str:number>/sheet/", views.sheet, name="sheet"),
    path("<str:number>/sheet.pdf", views.sheet_pdf, name="sheet-pdf"),
]
