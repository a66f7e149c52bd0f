from fund import clock
from fund.attachments.models import Attachment
from fund.attachments.queries import file_of
from fund.receipts.reading import cap
from fund.receipts.reading.document import rows_in
from fund.receipts.reading.engine import boxes_on, load
from fund.receipts.reading.rules import rows_of_print
from fund.receipts.reading.rules_fields import Reading, read
from fund.refusal import BadInput


def read_photo(photo: Attachment) -> Reading:
    """What a kept photo or PDF of a receipt says.

    Refuses one without any print, a PDF that cannot be opened, and what is not read within ``cap.SECONDS``.
    """
    if photo.kind != "pdf":
        load()  # once in the life of a server, and the same for every photo, so the photo's time begins afterwards
    deadline = cap.Deadline(cap.SECONDS)
    if photo.kind == "pdf":
        rows = rows_in(file_of(photo), deadline)
        if not rows:
            raise BadInput("No text was found in the PDF. Type what it says, or take a photo of the paper.")
        return read(rows, clock.today())
    rows = rows_of_print(boxes_on(file_of(photo), deadline))
    if not rows:
        raise BadInput(
            "No print was found on the photo. Take it again from above, in good light, or type it."
        )
    return read(rows, clock.today())
