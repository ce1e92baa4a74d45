/* SPDX-License-Identifier: MIT */
#include "lesson/deal_page.h"

#include "base/language.h"
#include "lesson/deal_choices.h"
#include "lesson/deal_rows.h"
#include "lesson/pieces.h"

#include <string.h>

struct _DealPage {
  GtkBox parent;
  Session *session;
  Canvas *canvas; /* borrowed */
  DealStudy *study;
  SessionResult *asked; /* what the study was asked about last */
  GtkLabel *trouble, *note, *summary, *judgement;
  DealChoices *choices;
  GtkDropDown *subject;
  GtkBox *marked, *conditions;
  GtkSwitch *preview;
  bool wanted;
  bool wants_preview; /* as soon as the scene is known */
  bool filling;
};

G_DEFINE_FINAL_TYPE(DealPage, deal_page, GTK_TYPE_BOX)

static const DealScene *
scene_of(DealPage *page)
{
  return deal_study_get(page->study)->scene;
}

static const Document *
own(DealPage *page)
{
  return session_get_own(page->session);
}

const DealAnswer *
deal_page_get_answer(DealPage *page)
{
  return deal_study_get(page->study);
}

bool
deal_page_is_wanted(DealPage *page)
{
  return page->wanted || document_intended_count(own(page)) > 0;
}

void
deal_page_want(DealPage *page)
{
  page->wanted = true;
}

/* --- flags --- */

static void
show_flags(DealPage *page)
{
  g_autoptr(GArray) flags = g_array_new(FALSE, FALSE, sizeof(CanvasFlag));
  for (guint i = 0; i < document_intended_count(own(page)); i++) {
    CanvasFlag flag = {.number = i + 1};
    if (deal_rows_place_point(own(page), intended_at(document_intended(own(page), i)), &flag.at))
      g_array_append_val(flags, flag);
  }
  canvas_set_flags(page->canvas, flags);
}

/* --- what is marked --- */

static const Intended *
marked_of(DealPage *page, GtkWidget *button)
{
  guint number = deal_rows_number_of(button);
  return number >= 1 && number <= document_intended_count(own(page))
             ? document_intended(own(page), number - 1)
             : NULL;
}

static void
on_go(GtkWidget *button, DealPage *page)
{
  const Intended *intended = marked_of(page, button);
  if (intended == NULL)
    return;
  const DealScene *scene = scene_of(page);
  g_auto(GStrv) names = g_strsplit(intended_at(intended), ", ", -1);
  g_autoptr(GPtrArray) places = g_ptr_array_new_with_free_func(g_free);
  for (guint i = 0; names[i] != NULL; i++)
    g_ptr_array_add(places, g_strdup(names[i]));
  int at =
      scene != NULL ? deal_scene_find(scene, intended_fault(intended), intended_at(intended)) : -1;
  if (at >= 0) {
    const FaultSpot *spot = &g_array_index(scene->choices, DealChoice, at).spot;
    const Document *document = scene->result->inspection->document;
    if (spot->conductor != G_MAXUINT) {
      const Conductor *conductor = document_conductor(document, spot->conductor);
      g_ptr_array_add(places, conductor_dup_name(conductor));
      if (document_find_conductor(session_get_document(page->session), conductor->key) != NULL)
        session_select_conductor(page->session, conductor->key, false);
    } else if (spot->device != G_MAXUINT) {
      session_select_device(page->session, document_device(document, spot->device)->id, false);
    }
  }
  session_show_places(page->session, places);
}

/* The buttons go with their rows, and the focus would go with them. */
static void
on_remove(GtkWidget *button, DealPage *page)
{
  const Intended *intended = marked_of(page, button);
  if (intended == NULL)
    return;
  g_autofree char *at = g_strdup(intended_at(intended));
  Change *change = edit_forget_intended(own(page), intended_fault(intended), at);
  if (!session_edit(page->session, change, NULL))
    return;
  session_say(page->session, _("The mark at %s is removed. Ctrl+Z takes it back."), at);
  if (!gtk_widget_child_focus(GTK_WIDGET(page->marked), GTK_DIR_TAB_FORWARD))
    deal_choices_begin(page->choices, NULL);
}

static void
fill_marked(DealPage *page)
{
  const DealAnswer *answer = deal_study_get(page->study);
  guint n = document_intended_count(own(page));
  bool known = deal_scene_is_of(answer->scene, own(page));
  pieces_clear(page->marked);
  for (guint i = 0; i < n; i++) {
    const DealMarked row = {
        .number = i + 1,
        .intended = document_intended(own(page), i),
        .scene = known ? answer->scene : NULL,
        .alone = known && answer->judged != NULL && answer->judged->len > i + 1
                     ? answer->judged->pdata[i + 1]
                     : NULL,
        .known = known,
        .may_remove = !session_is_preview(page->session),
        .go = G_CALLBACK(on_go),
        .remove = G_CALLBACK(on_remove),
        .data = page,
    };
    gtk_box_append(page->marked, deal_rows_marked(&row));
  }
  g_autofree char *text =
      n == 0
          ? g_strdup(_("Nothing is marked. Choose a fault above, or let them be dealt."))
          : g_strdup_printf(language_plural("%u fault is marked.", "%u faults are marked.", n), n);
  gtk_label_set_text(page->summary, text);
}

/* --- fair or not --- */

/* 0: all together; else the number of the one that is meant. */
static guint
subject_of(DealPage *page)
{
  guint n = document_intended_count(own(page)), at = gtk_drop_down_get_selected(page->subject);
  return at == GTK_INVALID_LIST_POSITION ? 0 : n >= 2 ? at : at + 1;
}

static void
fill_subject(DealPage *page)
{
  guint n = document_intended_count(own(page)), before = subject_of(page);
  gtk_widget_set_visible(GTK_WIDGET(page->subject), n > 0);
  guint had = g_list_model_get_n_items(gtk_drop_down_get_model(page->subject));
  if (had == (n >= 2 ? n + 1 : n))
    return;
  g_autoptr(GtkStringList) names = gtk_string_list_new(NULL);
  if (n >= 2)
    gtk_string_list_append(names, _("All marked faults together"));
  for (guint i = 1; i <= n; i++) {
    g_autofree char *name = g_strdup_printf(_("Fault %u by itself"), i);
    gtk_string_list_append(names, name);
  }
  page->filling = true;
  gtk_drop_down_set_model(page->subject, G_LIST_MODEL(names));
  gtk_drop_down_set_selected(page->subject, before <= n && n >= 2 ? before : 0);
  page->filling = false;
}

/* "Fair. Easy to find." or why nothing can be said. New string. */
static char *
judgement_text(DealPage *page, const DealtVersion *version)
{
  static const char *const fair[] = {[FAULT_EASY] = N_("Fair, and easy to find."),
                                     [FAULT_MEDIUM] = N_("Fair, and of medium difficulty."),
                                     [FAULT_HARD] = N_("Fair, and hard to find.")};
  const DealAnswer *answer = deal_study_get(page->study);
  if (document_intended_count(own(page)) == 0)
    return g_strdup(_("Mark a fault to see whether it makes a fair exercise."));
  if (version != NULL)
    return g_strdup(version->proof.fair        ? _(fair[version->difficulty])
                    : version->faults->len > 1 ? _("Not fair together: no version would have all "
                                                   "of these.")
                                               : _("Not fair: it would not be dealt."));
  if (answer->busy)
    return g_strdup(_("Trying every fault of the catalogue at every place\342\200\246"));
  if (answer->trouble == NULL && subject_of(page) == 0 && answer->together != NULL)
    return g_strdup(answer->together);
  return g_strdup(answer->trouble != NULL ? answer->trouble
                                          : _("Not judged: a mark has no place on this sheet."));
}

static void
show_judgement(DealPage *page)
{
  const DealAnswer *answer = deal_study_get(page->study);
  guint subject = subject_of(page);
  const DealtVersion *version = answer->judged != NULL && subject < answer->judged->len
                                    ? answer->judged->pdata[subject]
                                    : NULL;
  g_autofree char *text = judgement_text(page, version);
  gtk_label_set_text(page->judgement, text);
  pieces_clear(page->conditions);
  for (guint c = 0; version != NULL && c < FAIR_CONDITION_COUNT; c++)
    gtk_box_append(page->conditions, deal_rows_condition((FairCondition)c, &version->proof));
}

/* --- preview --- */

/* The faults that are meant, as long as each has its place; free with g_ptr_array_unref. */
static GPtrArray *
faults_meant(DealPage *page)
{
  const DealScene *scene = scene_of(page);
  guint subject = subject_of(page), n = document_intended_count(own(page));
  g_autoptr(GPtrArray) faults = g_ptr_array_new_with_free_func((GDestroyNotify)dealt_fault_free);
  for (guint i = subject == 0 ? 0 : subject - 1; i < (subject == 0 ? n : subject); i++) {
    const Intended *intended = document_intended(own(page), i);
    int at = deal_scene_find(scene, intended_fault(intended), intended_at(intended));
    if (at < 0)
      return NULL;
    const DealChoice *choice = &g_array_index(scene->choices, DealChoice, at);
    g_ptr_array_add(faults, dealt_fault_new(choice->fault, choice->place));
  }
  return faults->len > 0 ? g_steal_pointer(&faults) : NULL;
}

/* The sheet with those faults, or NULL with a sentence. */
static Document *
faulty_new(DealPage *page, const char **why)
{
  g_autoptr(GPtrArray) faults = faults_meant(page);
  if (faults == NULL) {
    *why = document_intended_count(own(page)) == 0
               ? _("Mark a fault first: then there is something to preview.")
               : _("A mark has no place on this sheet any more. Remove it, then preview.");
    return NULL;
  }
  const DealtVersion version = {.faults = faults};
  g_autoptr(Document) document = document_snapshot(own(page));
  if (deal_make(&version, scene_of(page)->scene, document, NULL))
    return g_steal_pointer(&document);
  *why = _("These faults cannot be made together: two change the same conductor or device. Choose "
           "one by itself.");
  return NULL;
}

static void
show_switch(DealPage *page)
{
  bool on = session_is_preview(page->session) || page->wants_preview;
  page->filling = true;
  gtk_switch_set_active(page->preview, on);
  page->filling = false;
}

static void
show_note(DealPage *page, const char *text)
{
  gtk_label_set_text(page->note, text != NULL ? text : "");
  gtk_widget_set_visible(GTK_WIDGET(page->note), text != NULL);
  if (text != NULL)
    session_say(page->session, "%s", text);
}

static void
try_preview(DealPage *page)
{
  const DealAnswer *answer = deal_study_get(page->study);
  const char *why = answer->trouble;
  if (!deal_scene_is_of(answer->scene, own(page)) && why == NULL)
    return; /* when it is known */
  Document *document = why == NULL ? faulty_new(page, &why) : NULL;
  page->wants_preview = false;
  show_note(page, document == NULL ? why : NULL);
  if (document != NULL)
    session_preview(page->session, document);
  else
    session_end_preview(page->session);
  show_switch(page);
  g_signal_emit_by_name(page, "preview");
}

static void
ask_study(DealPage *page)
{
  SessionResult *result = session_get_result(page->session);
  if (session_is_preview(page->session) || !session_is_fresh(page->session) ||
      sheet_is_exercise(document_sheet(own(page))) || result == page->asked)
    return;
  g_clear_pointer(&page->asked, session_result_unref);
  page->asked = session_result_ref(result);
  deal_study_ask(page->study, result);
}

void
deal_page_set_preview(DealPage *page, bool on)
{
  if (!on) {
    page->wants_preview = false;
    session_end_preview(page->session);
    show_switch(page);
    g_signal_emit_by_name(page, "preview");
    return;
  }
  ask_study(page);
  page->wants_preview = true;
  try_preview(page);
}

static gboolean
on_preview(GtkSwitch *preview, gboolean on, DealPage *page)
{
  (void)preview;
  if (!page->filling)
    deal_page_set_preview(page, on);
  return FALSE;
}

static void
on_subject(DealPage *page)
{
  if (page->filling)
    return;
  show_judgement(page);
  if (session_is_preview(page->session))
    try_preview(page);
}

/* --- following --- */

static void
show_all(DealPage *page)
{
  const DealAnswer *answer = deal_study_get(page->study);
  bool trouble = answer->trouble != NULL;
  gtk_label_set_text(page->trouble, trouble ? answer->trouble : "");
  gtk_widget_set_visible(GTK_WIDGET(page->trouble), trouble);
  gtk_widget_set_visible(GTK_WIDGET(page->choices), !trouble);
  deal_choices_show(page->choices, answer->scene, answer->busy);
  fill_marked(page);
  fill_subject(page);
  show_judgement(page);
  show_switch(page);
}

static void
on_study(gpointer data)
{
  DealPage *page = data;
  show_all(page);
  if (page->wants_preview)
    try_preview(page);
}

static void
on_changed(Session *session, DealPage *page)
{
  if (!session_is_preview(session) && scene_of(page) != NULL &&
      !deal_scene_is_of(scene_of(page), own(page)))
    deal_study_forget(page->study);
  show_note(page, NULL);
  show_flags(page);
  show_all(page);
}

static void
on_inspected(Session *session, DealPage *page)
{
  (void)session;
  if (gtk_widget_get_mapped(GTK_WIDGET(page)))
    ask_study(page);
}

static void
on_selection(Session *session, DealPage *page)
{
  (void)session;
  if (gtk_widget_get_mapped(GTK_WIDGET(page)))
    deal_choices_follow(page->choices);
}

static void
on_map(DealPage *page)
{
  page->wanted = true;
  deal_choices_follow(page->choices);
  ask_study(page);
}

void
deal_page_begin(DealPage *page)
{
  Landing at;
  bool pointed = canvas_get_pointed(page->canvas, &at);
  g_autofree char *device = pointed ? g_strdup(at.device) : NULL;
  g_autofree char *terminal = pointed ? g_strdup(at.terminal) : NULL;
  if (device != NULL)
    session_select_device(page->session, device, false);
  g_autofree char *name = device != NULL ? g_strdup_printf("%s.%s", device, terminal) : NULL;
  deal_choices_begin(page->choices, name);
}

static void
on_deal(DealPage *page)
{
  g_signal_emit_by_name(page, "deal");
}

/* --- object --- */

static void
deal_page_dispose(GObject *object)
{
  DealPage *page = DOORSHEET_DEAL_PAGE(object);
  g_clear_pointer(&page->study, deal_study_free);
  g_clear_pointer(&page->asked, session_result_unref);
  g_clear_object(&page->session);
  G_OBJECT_CLASS(deal_page_parent_class)->dispose(object);
}

static void
deal_page_class_init(DealPageClass *class)
{
  G_OBJECT_CLASS(class)->dispose = deal_page_dispose;
  static const char *const names[] = {"deal", "preview"};
  for (gsize i = 0; i < G_N_ELEMENTS(names); i++)
    g_signal_new(names[i], DEAL_PAGE_TYPE, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
}

static GtkLabel *
add_label(GtkBox *box, const char *text, const char *style)
{
  GtkWidget *label = pieces_label(text, style);
  gtk_box_append(box, label);
  return GTK_LABEL(label);
}

static void
build_judgement(DealPage *page, GtkBox *box)
{
  GtkWidget *across = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *title = pieces_label(_("Preview on the sheet"), NULL);
  add_label(box, _("Fair?"), "section");
  page->subject = pieces_drop_down(box, _("Which faults are judged and previewed"));
  g_signal_connect_swapped(page->subject, "notify::selected", G_CALLBACK(on_subject), page);
  page->judgement = add_label(box, "", "verdict");
  page->conditions = pieces_column(box);
  page->preview = GTK_SWITCH(gtk_switch_new());
  gtk_widget_set_valign(GTK_WIDGET(page->preview), GTK_ALIGN_CENTER);
  pieces_name(GTK_WIDGET(page->preview), _("Preview on the sheet"));
  g_signal_connect(page->preview, "state-set", G_CALLBACK(on_preview), page);
  gtk_widget_set_hexpand(title, TRUE);
  gtk_box_append(GTK_BOX(across), title);
  gtk_box_append(GTK_BOX(across), GTK_WIDGET(page->preview));
  gtk_box_append(box, across);
  page->note = add_label(box, "", "problem");
  gtk_widget_set_visible(GTK_WIDGET(page->note), FALSE);
  GtkWidget *deal = gtk_button_new_with_label(_("Deal exercises\342\200\246"));
  gtk_widget_add_css_class(deal, "suggested-action");
  g_signal_connect_swapped(deal, "clicked", G_CALLBACK(on_deal), page);
  gtk_box_append(box, deal);
}

static void
deal_page_init(DealPage *page)
{
  gtk_orientable_set_orientation(GTK_ORIENTABLE(page), GTK_ORIENTATION_VERTICAL);
  gtk_box_set_spacing(GTK_BOX(page), 8);
  gtk_widget_add_css_class(GTK_WIDGET(page), "page");
  page->study = deal_study_new(on_study, page);
}

static void
build(DealPage *page)
{
  GtkBox *box = GTK_BOX(page);
  page->filling = true;
  add_label(box, _("Faults for a lesson"), "heading");
  add_label(box, _("The sheet itself stays sound: marks are only made in the exercises."),
            "dim-label");
  page->trouble = add_label(box, "", "problem");
  page->choices = deal_choices_new(page->session);
  gtk_box_append(box, GTK_WIDGET(page->choices));
  add_label(box, _("Marked faults"), "section");
  page->summary = add_label(box, "", "dim-label");
  page->marked = pieces_column(box);
  build_judgement(page, box);
  page->filling = false;
}

DealPage *
deal_page_new(Session *session, Canvas *canvas)
{
  DealPage *page = g_object_new(DEAL_PAGE_TYPE, NULL);
  page->session = g_object_ref(session);
  page->canvas = canvas;
  build(page);
  g_signal_connect(page, "map", G_CALLBACK(on_map), NULL);
  g_signal_connect_object(session, "changed", G_CALLBACK(on_changed), page, 0);
  g_signal_connect_object(session, "inspected", G_CALLBACK(on_inspected), page, 0);
  g_signal_connect_object(session, "selection", G_CALLBACK(on_selection), page, 0);
  show_flags(page);
  show_all(page);
  return page;
}
