/* SPDX-License-Identifier: MIT */
/* Where a file that is opened shows: in which window, and on which page of the clipboard. */
#include "keep/disk_mark.h"
#include "window/window.h"

guint
window_count_findings(const GPtrArray *findings)
{
  guint n = 0;
  for (guint i = 0; i < findings->len; i++)
    n += ((const Finding *)findings->pdata[i])->signal != SIGNAL_NOTICE;
  return n;
}

const char *
window_page_of_job(DoorsheetWindow *window)
{
  const Document *document = session_get_document(window_get_session(window));
  const SessionResult *result = session_get_result(window_get_session(window));
  bool measured = false;
  if (result != NULL && result->inspection->circuit != NULL) {
    const GArray *supplies = result->inspection->circuit->supplies;
    for (guint i = 0; i < supplies->len; i++)
      measured |= g_array_index(supplies, CircuitSupply, i).system.readings_given > 0;
  }
  if (document_device_count(document) == 0 || !measured)
    return "measure";
  if (document_conductor_count(document) == 0)
    return "land";
  return result != NULL && window_count_findings(result->inspection->findings) > 0 ? "check"
                                                                                   : "read";
}

DoorsheetWindow *
window_find_other(DoorsheetWindow *window, const char *path)
{
  GtkApplication *application = gtk_window_get_application(GTK_WINDOW(window));
  GList *all = application != NULL ? gtk_application_get_windows(application) : NULL;
  for (GList *l = all; l != NULL; l = l->next) {
    if (!DOORSHEET_IS_WINDOW(l->data) || l->data == window)
      continue;
    DoorsheetWindow *other = l->data;
    Session *session = window_get_session(other);
    const char *theirs = session != NULL ? session_get_path(session) : NULL;
    if (theirs != NULL && disk_is_same_file(theirs, path))
      return other;
  }
  return NULL;
}
