/* SPDX-License-Identifier: MIT */
#include "diagram/document.h"

#include "base/listeners.h"
#include "diagram/change.h"

#include <string.h>

G_DEFINE_QUARK(doorsheet - document - error, document_error)

struct Document {
  Contents *contents;
  Contents *saved;    /* as last marked saved */
  GPtrArray *history; /* of Change *: applied ones first, then those to redo */
  guint applied;
  guint32 next_key;
  Listeners listeners;
};

static Document *
document_with_contents(Contents *take_contents, guint32 next_key)
{
  Document *document = g_new0(Document, 1);
  document->contents = take_contents;
  document->saved = contents_ref(take_contents);
  document->history = g_ptr_array_new_with_free_func((GDestroyNotify)change_free);
  document->next_key = next_key;
  return document;
}

Document *
document_new(PartCatalog catalog)
{
  return document_with_contents(contents_new(catalog), 1);
}

Document *
document_snapshot(const Document *document)
{
  return document_with_contents(contents_ref(document->contents), document->next_key);
}

void
document_free(Document *document)
{
  if (document == NULL)
    return;
  contents_unref(document->contents);
  contents_unref(document->saved);
  g_ptr_array_unref(document->history);
  listeners_clear(&document->listeners);
  g_free(document);
}

bool
document_equal(const Document *a, const Document *b)
{
  return contents_equal(a->contents, b->contents);
}

PartCatalog
document_catalog(const Document *document)
{
  return document->contents->catalog;
}

const SheetData *
document_sheet(const Document *document)
{
  return document->contents->sheet;
}

guint
document_device_count(const Document *document)
{
  return document->contents->slots->len;
}

const Device *
document_device(const Document *document, guint index)
{
  g_return_val_if_fail(index < document->contents->slots->len, NULL);
  return contents_slot(document->contents, index)->device;
}

const Device *
document_find_device(const Document *document, const char *id)
{
  int index = contents_find(document->contents, id);
  return index < 0 ? NULL : contents_slot(document->contents, (guint)index)->device;
}

int
document_device_index(const Document *document, const char *id)
{
  return contents_find(document->contents, id);
}

guint
document_conductor_count(const Document *document)
{
  return document->contents->conductors->len;
}

const Conductor *
document_conductor(const Document *document, guint index)
{
  g_return_val_if_fail(index < document->contents->conductors->len, NULL);
  return document->contents->conductors->pdata[index];
}

const Conductor *
document_find_conductor(const Document *document, guint32 key)
{
  int index = contents_find_conductor(document->contents, key);
  return index < 0 ? NULL : document->contents->conductors->pdata[index];
}

guint
document_measured_count(const Document *document)
{
  return document->contents->measured->len;
}

const Measured *
document_measured(const Document *document, guint index)
{
  g_return_val_if_fail(index < document->contents->measured->len, NULL);
  return document->contents->measured->pdata[index];
}

const Measured *
document_find_measured(const Document *document, const Landing *a, const Landing *b,
                       MeasuredState state)
{
  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *measured = document_measured(document, i);
    if (measured_state(measured) == state && measured_is_between(measured, a, b))
      return measured;
  }
  return NULL;
}

guint
document_intended_count(const Document *document)
{
  return document->contents->intended->len;
}

const Intended *
document_intended(const Document *document, guint index)
{
  g_return_val_if_fail(index < document->contents->intended->len, NULL);
  return document->contents->intended->pdata[index];
}

bool
document_resolve(const Document *document, const Landing *landing, const Device **device,
                 guint *terminal)
{
  if (landing->device == NULL || landing->terminal == NULL)
    return false;
  const Device *found = document_find_device(document, landing->device);
  int index = found != NULL ? device_terminal_index(found, landing->terminal) : -1;
  if (index < 0)
    return false;
  *device = found;
  *terminal = (guint)index;
  return true;
}

guint
document_landings(const Document *document, const char *device, const char *terminal)
{
  Landing landing = {(char *)(guintptr)device, (char *)(guintptr)terminal};
  const Tally *tally = contents_tally(document->contents, &landing);
  return tally != NULL ? tally->conductors : 0;
}

char *
document_explain_landing(const Document *document, const Landing *landing)
{
  return contents_explain_landing(document->contents, landing);
}

char *
document_free_id(const Document *document, const char *letters)
{
  return contents_free_id(document->contents, letters);
}

/* --- changes --- */

static void
call_listener(GCallback listener, gpointer about, gpointer data)
{
  ((DocumentListener)listener)(about, data);
}

static void
notify(Document *document)
{
  listeners_tell(&document->listeners, call_listener, document);
}

/* Snapshots share the contents: take a copy before the first write. */
static void
own_contents(Document *document)
{
  if (g_atomic_ref_count_compare(&document->contents->references, 1))
    return;
  Contents *own = contents_copy(document->contents);
  contents_unref(document->contents);
  document->contents = own;
}

bool
document_apply(Document *document, Change *take_change, GError **error)
{
  g_autoptr(Change) change = take_change;
  if (change_is_empty(change))
    return true;
  if (!change_locate(change, document->contents, error))
    return false;
  own_contents(document);
  if (!change_forward(change, document->contents, &document->next_key, error))
    return false;
  change_settle(change);
  g_ptr_array_set_size(document->history, (gint)document->applied);
  g_ptr_array_add(document->history, g_steal_pointer(&change));
  document->applied++;
  notify(document);
  return true;
}

bool
document_can_undo(const Document *document)
{
  return document->applied > 0;
}

bool
document_can_redo(const Document *document)
{
  return document->applied < document->history->len;
}

const char *
document_undo_title(const Document *document)
{
  if (!document_can_undo(document))
    return NULL;
  return ((const Change *)document->history->pdata[document->applied - 1])->title;
}

const char *
document_redo_title(const Document *document)
{
  if (!document_can_redo(document))
    return NULL;
  return ((const Change *)document->history->pdata[document->applied])->title;
}

void
document_undo(Document *document)
{
  if (!document_can_undo(document))
    return;
  own_contents(document);
  change_backward(document->history->pdata[--document->applied], document->contents);
  notify(document);
}

void
document_redo(Document *document)
{
  if (!document_can_redo(document))
    return;
  own_contents(document);
  g_autoptr(GError) error = NULL;
  /* The contents are those the change was made for: it cannot fail a second time. */
  if (!change_forward(document->history->pdata[document->applied], document->contents, NULL,
                      &error))
    g_critical("redo: %s", error->message);
  document->applied++;
  notify(document);
}

bool
document_modified(const Document *document)
{
  return document->saved == NULL || !contents_equal(document->contents, document->saved);
}

void
document_mark_saved(Document *document)
{
  contents_unref(document->saved);
  document->saved = contents_ref(document->contents);
  notify(document);
}

void
document_mark_unsaved(Document *document)
{
  g_clear_pointer(&document->saved, contents_unref);
  notify(document);
}

void
document_clear_history(Document *document)
{
  g_ptr_array_set_size(document->history, 0);
  document->applied = 0;
}

guint
document_listen(Document *document, DocumentListener listener, gpointer data)
{
  return listeners_add(&document->listeners, G_CALLBACK(listener), data);
}

void
document_unlisten(Document *document, guint id)
{
  listeners_remove(&document->listeners, id);
}
