/* SPDX-License-Identifier: MIT */
/* A document shown for a while instead of the session's own: what faults would do to it. */
#include "base/language.h"
#include "canvas/session_private.h"
#include "grade/repair.h"

const Document *
session_get_own(Session *session)
{
  return session->own != NULL ? session->own : session->document;
}

bool
session_is_preview(Session *session)
{
  return session->own != NULL;
}

void
session_drop_preview(Session *session)
{
  if (session->own == NULL)
    return;
  Document *shown = session->document;
  session_follow(session, g_steal_pointer(&session->own));
  document_free(shown);
}

void
session_preview(Session *session, Document *take_document)
{
  session_drop_preview(session);
  Document *own = session->document;
  document_clear_history(take_document);
  session_follow(session, take_document);
  session->own = own;
  session_show_places(session, NULL);
  session_refresh(session);
}

void
session_end_preview(Session *session)
{
  if (session->own == NULL)
    return;
  session_drop_preview(session);
  session_show_places(session, NULL);
  session_refresh(session);
}

bool
session_may_edit(Session *session, Change *change, GError **error)
{
  if (session->own == NULL) {
    bool exercise = sheet_is_exercise(document_sheet(session->document));
    bool allowed = !exercise || repair_allows(change, error);
    if (!allowed)
      change_free(change);
    return allowed;
  }
  change_free(change);
  g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_STALE, "%s",
              _("This is a preview with the marked faults made. End the preview to edit the "
                "sheet."));
  return false;
}
