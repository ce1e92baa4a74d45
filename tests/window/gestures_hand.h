/* SPDX-License-Identifier: MIT */
/* The random hand: places, devices, conductors, texts and commands for the gestures to use. */
#pragma once

#include "drive.h"
#include "gestures.h"

/* Enough for every tool to meet every other; a random heap of more only makes routing slow. */
#define DEVICES_MOST 16
#define COPIES_MOST 21 /* so that there is room for some even then */
#define CONDUCTORS_MOST 18

int hand_below(GRand *random, guint n);
bool hand_one_in(GRand *random, guint n);
Point hand_somewhere(GRand *random);
Session *hand_session_of(DoorsheetWindow *window);
/* NULL: none on the sheet. */
const Device *hand_device(DoorsheetWindow *window, GRand *random);
const Conductor *hand_conductor(DoorsheetWindow *window, GRand *random);
bool hand_terminal(DoorsheetWindow *window, GRand *random, const Device **device, guint *terminal);
bool hand_landing(DoorsheetWindow *window, GRand *random, Landing *landing);
bool hand_terminal_point(DoorsheetWindow *window, GRand *random, Point *at);
Point hand_on_conductor(DoorsheetWindow *window, GRand *random, const Conductor *conductor);
Point hand_middle_of(const Device *device);
void hand_act(DoorsheetWindow *window, const char *name);
void hand_act_one_of(DoorsheetWindow *window, GRand *random, const char *const *names, guint n);
bool hand_is_full(DoorsheetWindow *window);
bool hand_is_wired(DoorsheetWindow *window);
void hand_inspect(DoorsheetWindow *window);
char *hand_text(GRand *random, const FieldSpec *field);

/* gestures_sheet.c: what is done to the drawing. */
void sheet_place(DoorsheetWindow *window, GRand *random);
void sheet_click(DoorsheetWindow *window, GRand *random);
void sheet_box(DoorsheetWindow *window, GRand *random);
void sheet_select(DoorsheetWindow *window, GRand *random);
void sheet_select_otherwise(DoorsheetWindow *window, GRand *random);
void sheet_move(DoorsheetWindow *window, GRand *random);
void sheet_keys(DoorsheetWindow *window, GRand *random);
void sheet_turn(DoorsheetWindow *window, GRand *random);
void sheet_align(DoorsheetWindow *window, GRand *random);
void sheet_group(DoorsheetWindow *window, GRand *random);
void sheet_delete(DoorsheetWindow *window, GRand *random);
void sheet_land(DoorsheetWindow *window, GRand *random);
void sheet_land_bent(DoorsheetWindow *window, GRand *random);
void sheet_land_by_keys(DoorsheetWindow *window, GRand *random);
void sheet_splice(DoorsheetWindow *window, GRand *random);
void sheet_reland(DoorsheetWindow *window, GRand *random);
void sheet_bend(DoorsheetWindow *window, GRand *random);
void sheet_straighten(DoorsheetWindow *window, GRand *random);
void sheet_duplicate(DoorsheetWindow *window, GRand *random);
void sheet_paste(DoorsheetWindow *window, GRand *random);
