/* SPDX-License-Identifier: MIT */
#include "quiz/fault.h"

#define LOW_VOLTS "load-undervoltage coil-will-not-pull-in"

/* One row a fault, by topic. Columns: name, title, check, also, level, edit, field, value, factor. */
/* clang-format off */
const Fault fault_table[] = {
    /* supply */
    {"reading-mistyped", "One supply reading is written down tripled", "readings-impossible", "load-not-fed primary-lead-missing load-undervoltage", FAULT_EASY, FAULT_ROW, "value", NULL, 3.0},
    {"reading-unbalanced", "One line of the supply stands 8 % high", "supply-unbalance", "supply-off-nominal tap-too-low better-lead load-overvoltage", FAULT_MEDIUM, FAULT_ROW, "value", NULL, 1.08},
    {"supply-low", "The supply stands 14 % low", "supply-off-nominal", "tap-too-high load-undervoltage coil-will-not-pull-in", FAULT_MEDIUM, FAULT_ROW, "value", NULL, 0.86},
    /* transformer */
    {"lead-too-low", "The supply lies on a lead marked far too low", "tap-too-low", "load-overvoltage better-lead primary-protection-too-large", FAULT_EASY, FAULT_SWAP, NULL, NULL, 0},
    {"lead-too-high", "The supply lies on a lead marked too high", "tap-too-high", LOW_VOLTS " better-lead protection-too-small primary-protection-too-large", FAULT_MEDIUM, FAULT_SWAP, NULL, NULL, 0},
    {"lead-nearly-right", "A lead that fits worse than another", "better-lead", "tap-too-low tap-too-high load-overvoltage primary-protection-too-large " LOW_VOLTS, FAULT_HARD, FAULT_SWAP, NULL, NULL, 0},
    {"lead-left-open", "An unused lead is not capped", "lead-not-capped", NULL, FAULT_EASY, FAULT_CUT, NULL, NULL, 0},
    {"leads-under-one-cap", "Two unused leads share a cap", "caps-joined", "lead-not-capped terminal-crowded", FAULT_MEDIUM, FAULT_RELAND, NULL, NULL, 0},
    {"leads-joined", "An unused lead is joined to another", "leads-joined", "terminal-crowded lead-not-capped", FAULT_MEDIUM, FAULT_LAND, NULL, NULL, 0},
    {"common-left-off", "A primary lead is not landed", "primary-lead-missing", "lead-not-capped", FAULT_EASY, FAULT_CUT, NULL, NULL, 0},
    {"transformer-too-small", "The transformer is a fraction of the size needed", "transformer-overloaded", "primary-protection-too-large load-undervoltage voltage-drop secondary-protection-too-large interrupting-rating-exceeded", FAULT_MEDIUM, FAULT_SCALE, "rating", NULL, 0.3},
    {"load-too-large", "The load draws six times what it should", "transformer-overloaded", "load-undervoltage conductor-too-small protection-too-small contact-overloaded", FAULT_MEDIUM, FAULT_SCALE, "power", NULL, 6},
    {"class-2-too-large", "A class 2 transformer of more than 100 VA", "class2-limit", "primary-protection-too-large protection-too-small", FAULT_HARD, FAULT_SCALE, "rating", NULL, 4},
    {"class-2-joined", "A class 2 lead is joined to another circuit", "class2-mixed", "terminal-crowded short-circuit line-to-ground leads-joined fed-from-secondary lead-not-capped", FAULT_HARD, FAULT_LAND, NULL, NULL, 0},
    {"windings-opposed", "A winding in series is turned round", "secondaries-opposed", "load-not-fed", FAULT_HARD, FAULT_SWAP, NULL, NULL, 0},
    /* load */
    {"load-cut-off", "A conductor to a load is missing", "load-not-fed", NULL, FAULT_EASY, FAULT_CUT, NULL, NULL, 0},
    {"fuse-blown", "A fuse is blown", "load-not-fed", NULL, FAULT_EASY, FAULT_FIELD, "blown", "yes", 0},
    {"load-for-less", "The load is made for 12 V", "load-overvoltage", "transformer-overloaded conductor-too-small protection-too-small contact-overloaded", FAULT_MEDIUM, FAULT_FIELD, "accepts", "11..13 V", 0},
    {"load-for-more", "The load is made for 600 V", "load-undervoltage", "load-not-fed", FAULT_MEDIUM, FAULT_FIELD, "accepts", "570..630 V", 0},
    {"conductor-too-long", "A conductor is 1 500 ft long", "voltage-drop", LOW_VOLTS, FAULT_HARD, FAULT_WIRE, "length", "1500 ft", 0},
    /* control */
    {"contact-misnamed", "A contact is named after no relay", "contact-without-coil", NULL, FAULT_EASY, FAULT_FIELD, "coil", "CR99", 0},
    {"coil-for-more", "The coil is made for 480 V", "coil-will-not-pull-in", "load-not-fed", FAULT_MEDIUM, FAULT_FIELD, "coil-volts", "480 V", 0},
    {"contact-too-small", "A contact rated 0.1 A", "contact-overloaded", NULL, FAULT_HARD, FAULT_FIELD, "rating", "0.1 A", 0},
    {"motor-reversed", "Two lines of a motor are exchanged", "rotation-wrong", NULL, FAULT_MEDIUM, FAULT_SWAP, NULL, NULL, 0},
    {"motor-line-missing", "One line of a motor is missing", "single-phased", NULL, FAULT_EASY, FAULT_CUT, NULL, NULL, 0},
    /* protection */
    {"primary-fuse-too-large", "The primary protection is forty times as large", "primary-protection-too-large", "conductor-too-small secondary-unprotected ground-conductor-too-small", FAULT_MEDIUM, FAULT_SCALE, "rating", NULL, 40},
    {"fuse-too-small", "Protection of a tenth of its rating", "protection-too-small", NULL, FAULT_MEDIUM, FAULT_SCALE, "rating", NULL, 0.1},
    {"fuse-bypassed", "A conductor lies ahead of its fuse", "primary-unprotected", "secondary-unprotected", FAULT_MEDIUM, FAULT_RELAND, NULL, NULL, 0},
    {"pole-bypassed", "One line does not pass the disconnect", "pole-not-opened", "primary-unprotected", FAULT_HARD, FAULT_RELAND, NULL, NULL, 0},
    {"disconnect-bypassed", "Nothing passes the disconnect any more", "no-disconnect", "primary-unprotected", FAULT_HARD, FAULT_RELAND, NULL, NULL, 0},
    {"neutral-opened", "Line and grounded conductor are exchanged", "opens-grounded-conductor", "colour-misused primary-unprotected no-disconnect conductor-too-small secondary-unprotected", FAULT_HARD, FAULT_SWAP, NULL, NULL, 0},
    {"fuse-for-less-volts", "A device rated 24 V", "device-voltage-exceeded", NULL, FAULT_HARD, FAULT_FIELD, "volts", "24 V", 0},
    {"interrupting-too-low", "An interrupting rating of 100 A", "interrupting-rating-exceeded", NULL, FAULT_HARD, FAULT_FIELD, "interrupting", "100 A", 0},
    /* conductor */
    {"white-on-a-line", "An ungrounded conductor is white", "colour-misused", NULL, FAULT_EASY, FAULT_WIRE, "colour", "white", 0},
    {"green-on-a-line", "A circuit conductor is green", "colour-misused", NULL, FAULT_EASY, FAULT_WIRE, "colour", "green", 0},
    {"black-on-a-ground", "A grounding or grounded conductor is black", "colour-misused", NULL, FAULT_MEDIUM, FAULT_WIRE, "colour", "black", 0},
    {"conductor-too-thin", "A conductor of 18 AWG", "conductor-too-small", "voltage-drop", FAULT_HARD, FAULT_WIRE, "gauge", "18 AWG", 0},
    {"secondary-too-thin", "A secondary conductor of 18 AWG behind large primary protection", "secondary-unprotected", "voltage-drop conductor-too-small", FAULT_HARD, FAULT_WIRE, "gauge", "18 AWG", 0},
    {"terminal-crowded", "A conductor too many on a terminal", "terminal-crowded", "caps-joined", FAULT_EASY, FAULT_RELAND, NULL, NULL, 0},
    {"insulation-too-low", "Insulation rated 20 V", "insulation-voltage", NULL, FAULT_MEDIUM, FAULT_WIRE, "insulation", "20 V", 0},
    {"landing-loose", "A landing is loose", "landing-loose", NULL, FAULT_EASY, FAULT_WIRE, "condition", "loose", 0},
    {"conductor-broken", "A conductor is broken", "landing-loose", "load-not-fed primary-lead-missing frame-not-grounded secondary-not-grounded coil-will-not-pull-in single-phased", FAULT_MEDIUM, FAULT_WIRE, "condition", "broken", 0},
    {"number-twice", "A wire number is used twice", "wire-number-conflict", NULL, FAULT_EASY, FAULT_COPY_WIRE, "number", NULL, 0},
    {"number-missing", "A wire number is missing", "wire-number-missing", NULL, FAULT_EASY, FAULT_WIRE, "number", NULL, 0},
    /* grounding */
    {"frame-not-grounded", "A frame is not grounded", "frame-not-grounded", NULL, FAULT_EASY, FAULT_CUT, NULL, NULL, 0},
    {"bond-missing", "The secondary's bond is missing", "secondary-not-grounded", "secondary-unprotected", FAULT_MEDIUM, FAULT_CUT, NULL, NULL, 0},
    {"bonded-again", "A grounded conductor is bonded a second time", "grounded-twice", NULL, FAULT_HARD, FAULT_GROUND, NULL, NULL, 0},
    {"ground-as-return", "A load returns through the ground", "ground-carries-current", "grounded-twice secondary-not-grounded", FAULT_HARD, FAULT_RETURN, NULL, NULL, 0},
    {"ground-conductor-thin", "A grounding conductor of 24 AWG", "ground-conductor-too-small", NULL, FAULT_HARD, FAULT_WIRE, "gauge", "24 AWG", 0},
    {"frame-live", "A line is joined to a frame", "line-to-ground", "frame-not-grounded short-circuit terminal-crowded wire-number-conflict", FAULT_HARD, FAULT_RELAND, NULL, NULL, 0},
    /* wiring and sheet */
    {"secondary-shorted", "A conductor too many shorts two terminals", "short-circuit", "terminal-crowded opens-grounded-conductor", FAULT_EASY, FAULT_LAND, NULL, NULL, 0},
    {"designation-twice", "Two devices carry one designation", "designation-duplicate", NULL, FAULT_EASY, FAULT_COPY_FIELD, "designation", NULL, 0},
    {"off-the-paper", "A device lies off the paper", "device-outside-sheet", NULL, FAULT_EASY, FAULT_MOVE, NULL, NULL, 0},
    {0},
};
/* clang-format on */
