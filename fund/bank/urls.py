from django.urls import path

from fund.bank import views, views_layouts, views_matching, views_reconciling, views_statements

app_name = "bank"
urlpatterns = [
    path("", views.bank, name="bank"),
    path("lines/", views.lines, name="lines"),
    path("statements/", views_statements.statements, name="statements"),
    path("statements/upload/", views_statements.upload, name="upload"),
    path("statements/upload/<int:pk>/", views_statements.preview, name="upload-preview"),
    path("statements/upload/<int:pk>/take/", views_statements.take, name="upload-take"),
    path("statements/upload/<int:pk>/drop/", views_statements.drop, name="upload-drop"),
    path("statements/jobs/<int:pk>/", views_statements.job, name="upload-job"),
    path("statements/<int:pk>/", views_statements.statement, name="statement"),
    path("statement-lines/", views_statements.statement_lines, name="statement-lines"),
    path("statement-lines/<int:pk>/", views_matching.line, name="statement-line"),
    path("statement-lines/<int:pk>/settle/", views_matching.settle, name="settle"),
    path("match/", views_matching.match, name="match"),
    path("match/confirm/", views_matching.confirm_one, name="confirm"),
    path("match/confirm-sure/", views_matching.confirm_sure, name="confirm-sure"),
    path("matches/<str:code>/undo/", views_matching.undo_match, name="undo"),
    path("reconciliations/", views_reconciling.reconciliations, name="reconciliations"),
    path("reconciliations/<str:key>/", views_reconciling.month, name="reconciliation"),
    path("reconciliations/<str:key>/prepare/", views_reconciling.prepare, name="prepare"),
    path("reconciliations/<str:key>/review/", views_reconciling.review_month, name="review"),
    path("reconciliations/<str:key>/sheet/", views_reconciling.sheet, name="sheet"),
    path("platforms/", views_reconciling.platforms, name="platforms"),
    path("platforms/<slug:code>/", views_reconciling.platform, name="platform"),
    path("layouts/", views_layouts.layouts, name="layouts"),
    path("layouts/new/", views_layouts.layout_new, name="layout-new"),
    path("layouts/<slug:name>/", views_layouts.layout, name="layout"),
]
