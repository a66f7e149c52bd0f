from fund.forms import BookForm, MonthField


class WorkbookForm(BookForm):
    start = MonthField(label="First month")
    end = MonthField(label="Last month", help_text="It is in the workbook too.")
