/* SPDX-License-Identifier: MIT */
/* An exercise made of a sample with one fault of the catalogue. */
#pragma once

#include "../checks/edit_script.h"
#include "quiz/deal.h"

typedef struct {
  Document *master, *exercise;
  char *place;
} Dealt;

/* index: which of the places the fault fits. */
static Dealt
dealt_with(const char *sample, const char *name, guint index)
{
  Dealt dealt = {.master = script_open("samples", sample)};
  g_autoptr(Inspection) sound = inspection_new(dealt.master);
  g_autoptr(FaultScene) scene = fault_scene_new(sound);
  const Fault *fault = fault_find(name);
  assert_non_null(fault);
  g_autoptr(GPtrArray) places = fault_places(fault, scene);
  if (places->len <= index)
    fail_msg("%s fits nowhere on %s", name, sample);
  const FaultPlace *place = places->pdata[index];
  dealt.place = g_strdup(place->name);
  dealt.exercise = document_snapshot(dealt.master);
  assert_true(document_apply(dealt.exercise, fault_change(fault, scene, place), NULL));
  g_autoptr(SheetData) sheet = sheet_data_copy(document_sheet(dealt.exercise));
  const char *const values[] = {"3", "Reading taps", "Something is wrong.", "easy",
                                "1", "0123abcd", NULL};
  for (guint i = 0; i < EXERCISE_FIELD_COUNT; i++)
    assert_true(value_set_text(&sheet->exercise[i], &exercise_fields[i], values[i], NULL));
  Change *change = change_new("Exercise");
  change_sheet(change, document_sheet(dealt.exercise), sheet);
  assert_true(document_apply(dealt.exercise, change, NULL));
  assert_true(sheet_is_exercise(document_sheet(dealt.exercise)));
  return dealt;
}

static void
dealt_clear(Dealt *dealt)
{
  document_free(dealt->master);
  document_free(dealt->exercise);
  g_free(dealt->place);
}
