from django.apps import AppConfig


class FundConfig(AppConfig):
    name = "fund"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from fund.bank.queries_open import not_yet_shown
        from fund.bank.queries_shown import entries_not_shown
        from fund.commitments.cleared import tell_from
        from fund.gifts.actions_erase import FORGET
        from fund.letters.actions_erase import forget_in_letters

        tell_from(not_yet_shown, entries_not_shown)
        if forget_in_letters not in FORGET:
            FORGET.append(forget_in_letters)
