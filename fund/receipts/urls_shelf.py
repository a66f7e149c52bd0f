from django.urls import path

from fund.receipts import views_cores, views_returns, views_shelf

app_name = "shelf"
urlpatterns = [
    path("", views_shelf.lots, name="lots"),
    path("take/", views_shelf.issue, name="issue"),
    path("round/", views_shelf.round_of_counting, name="round"),
    path("lots/<str:code>/", views_shelf.lot, name="lot"),
    path("lots/<str:code>/count/", views_shelf.count, name="count"),
    path("issues/<int:number>/unused/", views_returns.unused, name="unused"),
    path("cores/", views_cores.cores, name="cores"),
    path("return-run/", views_cores.run, name="run"),
    path("cores/handed-over/", views_cores.handed_over, name="handed-over"),
    path("cores/<str:code>/", views_cores.core, name="core"),
    path("cores/<str:code>/box/", views_cores.box, name="box"),
    path("cores/<str:code>/late/", views_cores.paid_late, name="late"),
    path("cores/<str:code>/return/", views_cores.bring_back, name="return"),
]
