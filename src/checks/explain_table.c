/* SPDX-License-Identifier: MIT */
/* Formulas and limits of sight of each check; sources stand in checks_table. */
#include "checks/explain.h"

#include "base/language.h"

#define EDITION_LIST                                                                               \
  N_("2023 begins the list of breakers at 10 A, 2020 at 15 A; the sheet's code edition chooses. "  \
     "Otherwise they agree as used here; local code goes first.")

/* One entry a check, in the order of checks_table. */
const CheckExplanation explain_table[] = {
    /* supply */
    {.check = "phase-missing",
     .formula = N_("two line readings alike within 2 % and the third their sum or nothing, or two "
                   "lines with the same volts to ground and nothing between them"),
     .unseen =
         N_("a phase that motors keep alive by turning: measure with everything off as well")},
    {.check = "readings-ambiguous",
     .formula = N_(
         "phasors V12, V23, V31 from the three line readings by the law of cosines; the point that "
         "is ground from the three readings to ground; more than one known system fits"),
     .rows = {explain_rows_systems},
     .unseen = N_("how the source is bonded: read it at the service equipment")},
    {.check = "readings-impossible",
     .formula =
         N_("the largest line reading is at most the sum of the other two, and one point fits "
            "all readings to ground, both with the meter's tolerance")},
    {.check = "supply-not-measured",
     .formula = N_("readings entered, of those the number of lines asks for")},
    {.check = "supply-off-nominal",
     .formula = N_(
         "mean of the line readings against the range of the nearest nominal system (within 12 %)"),
     .rows = {explain_rows_supply},
     .unseen = N_("how the volts wander over a day: measure again when the building is loaded")},
    {.check = "supply-unbalance",
     .formula =
         N_("unbalance % = 100 x largest difference of a line reading from the mean / mean")},
    /* transformer */
    {.check = "better-lead",
     .remedy = N_("exchanges what lies on the two leads"),
     .formula = N_("misfit of a lead = |ln(measured volts / marked volts)|; another lead is better "
                   "when its misfit is at most half and the present one is above ln 1.05"),
     .rows = {explain_rows_taps}},
    {.check = "caps-joined",
     .remedy = N_("gives the second lead a cap of its own"),
     .formula = N_("conductors of different leads that end in one cap")},
    {.check = "fed-from-secondary",
     .formula =
         N_("power traced from every supply through everything that can be closed: it arrives "
            "on secondary leads and on no primary pair"),
     .unseen = N_("a maker's marking that permits it: read the nameplate")},
    {.check = "lead-not-capped",
     .remedy = N_("places a cap on the lead"),
     .formula = N_("flying leads without a landing; the volts are those of the solved winding, the "
                   "pair in use setting the volts a turn")},
    {.check = "leads-joined",
     .formula = N_("two leads of one primary winding with different marked volts in one net; the "
                   "volts a turn between them drive the current of a short")},
    {.check = "primary-lead-missing",
     .formula =
         N_("leads of the primary that power reaches, in nets of their own: fewer than two, or "
            "none ungrounded")},
    {.check = "secondaries-opposed",
     .formula = N_("order of the ends of two windings round their joint: in parallel equal ends "
                   "belong together, in series unequal ones"),
     .unseen = N_("leads with a wrong marking: meter the open ends before they are joined")},
    {.check = "tap-too-high",
     .remedy = N_("exchanges what lies on the lead in use and on the one that suits"),
     .formula = N_("volts across the pair in use below the low end of the range its marking suits"),
     .rows = {explain_rows_taps}},
    {.check = "tap-too-low",
     .remedy = N_("exchanges what lies on the lead in use and on the one that suits"),
     .formula =
         N_("volts across the pair in use above the high end of the range its marking suits; "
            "flux = applied / marked volts, danger above the knee of the core"),
     .rows = {explain_rows_taps}},
    {.check = "transformer-overloaded",
     .remedy = N_("enters the next stock size as rating"),
     .formula = N_("sum over the secondaries of volts x amperes with everything on, against the "
                   "nameplate VA; above 102 % caution, above 150 % warning"),
     .unseen = N_("how long a load runs and how hot the enclosure is")},
    {.check = "winding-overloaded",
     .formula =
         N_("amperes of each stretch of a secondary against nameplate VA / volts of the whole "
            "winding; above 105 %")},
    /* load */
    {.check = "load-not-fed",
     .formula = N_("solved volts below 5 % of the least the load accepts, with everything closed; "
                   "notice when only open protection keeps it dead")},
    {.check = "load-overvoltage",
     .remedy =
         N_("exchanges what lies on the two secondary leads, where all loads there accept it"),
     .formula = N_("solved volts above the high end of the nameplate range, or 110 % of a single "
                   "figure; danger above 150 % of it")},
    {.check = "load-undervoltage",
     .remedy =
         N_("exchanges what lies on the two secondary leads, where all loads there accept it"),
     .formula = N_("solved volts, regulation and conductors included, below the low end of the "
                   "nameplate range, or 90 % of a single figure")},
    {.check = "voltage-drop",
     .remedy = N_("enters the sizes named for the conductors on the way"),
     .formula =
         N_("drop % = 100 x (1 - volts at the load / volts at its source); notice above 3 %, "
            "caution above 5 %"),
     .unseen = N_("conductors without a length on the sheet count as ideal")},
    /* control */
    {.check = "coil-chatter",
     .formula = N_("coils and contacts settled in rounds, in two orders: no rest is chatter, two "
                   "different rests are a race"),
     .unseen = N_("delays inside a controller")},
    {.check = "coil-will-not-pull-in",
     .formula =
         N_("volts at the coil while it draws inrush VA as an impedance (rated volts squared / "
            "inrush VA), against pick-up % of rated volts (85 % unless stated)")},
    {.check = "contact-overloaded",
     .formula = N_("amperes with everything on against the contact's rating"),
     .unseen = N_("inductive, lamp and motor duty ratings of a contact: read its label")},
    {.check = "rotation-wrong",
     .remedy = N_("exchanges two conductors at the motor"),
     .formula = N_("positive sequence |V12 + a V23 + a^2 V31| against negative |V12 + a^2 V23 + a "
                   "V31|: the larger one turns the motor"),
     .unseen = N_("which way the driven machine has to turn: bump it")},
    {.check = "single-phased",
     .formula =
         N_("smaller over larger sequence above 30 %, the larger above 10 % of rated volts")},
    /* protection */
    {.check = "device-voltage-exceeded",
     .remedy = N_("enters a straight rating that suffices"),
     .formula =
         N_("nominal volts nearest to what is measured across the circuit (within 12 %) "
            "against rated volts; for a slash rating the volts to ground and the grounding too"),
     .rows = {explain_rows_systems}},
    {.check = "fault-current-unknown",
     .formula = N_("nothing to compute with: the supply counts as ideal"),
     .unseen = N_("the utility's transformer and service conductors")},
    {.check = "interrupting-rating-exceeded",
     .remedy = N_("enters the next stock interrupting rating"),
     .formula =
         N_("three lines together: line-to-neutral volts / impedance of source and one line up "
            "to the device; two conductors: volts / impedance up to there, the way back "
            "counted as nothing; behind a transformer its own impedance too"),
     .unseen = N_("current that motors feed back, and series ratings a panel is marked with")},
    {.check = "no-disconnect",
     .formula = N_("nets with every disconnect, breaker and lockable device open: every ungrounded "
                   "conductor of the transformer or load still reaches a supply"),
     .unseen = N_("whether the disconnect is in sight of the equipment")},
    {.check = "opens-grounded-conductor",
     .formula =
         N_("fuses and single poles with both sides in a net that is grounded when everything "
            "is closed")},
    {.check = "pole-not-opened",
     .formula = N_("nets with every disconnect, breaker and lockable device open: some ungrounded "
                   "conductors are parted from the supplies and some are not")},
    {.check = "primary-protection-too-large",
     .remedy = N_("enters the largest rating the table permits"),
     .formula =
         N_("rated primary amperes = VA / volts of the pair in use; the smallest device on the "
            "strongest way from the source against the table's per cent of that"),
     .editions = EDITION_LIST,
     .rows = {explain_rows_protection, explain_rows_standard}},
    {.check = "primary-unprotected",
     .formula = N_(
         "ways from the sources to each ungrounded primary lead that pass no fuse and no breaker"),
     .unseen = N_("protection ahead of the supply terminals drawn")},
    {.check = "protection-too-small",
     .remedy = N_("enters the next fuse from 125 % of rated amperes on"),
     .formula = N_("primary device below rated primary amperes (caution) or below 125 % of them "
                   "(notice); any device below its amperes with everything on"),
     .unseen = N_("the time curve of the device: inrush is 10 to 40 times rated for a cycle")},
    {.check = "secondary-protection-too-large",
     .remedy = N_("enters the largest rating the table permits"),
     .formula =
         N_("rated secondary amperes = VA / volts of the winding; the secondary device against "
            "the table's per cent, where the primary device is above what it may be alone"),
     .editions = EDITION_LIST,
     .rows = {explain_rows_protection, explain_rows_standard}},
    {.check = "secondary-unprotected",
     .formula =
         N_("primary device x primary volts / secondary volts against the ampacity of the weakest "
            "secondary conductor; more than two secondary leads in use need devices of their own"),
     .rows = {explain_rows_ampacity}},
    /* conductor */
    {.check = "colour-misused",
     .remedy = N_("enters the first colour named"),
     .formula = N_("base and tracer of the insulation against what the conductor is: grounded, "
                   "grounding, ungrounded, high leg"),
     .rows = {explain_rows_colours},
     .unseen = N_("tape and marking at the ends")},
    {.check = "conductor-too-small",
     .remedy = N_("enters the smallest size that carries it there"),
     .formula =
         N_("ampacity = the smaller of (table amperes of the insulation x factor for air x "
            "factor for company) and table amperes of the lower terminal temperature (60 C up "
            "to 100 A and 75 C above unless marked); against amperes with everything on and 25 "
            "% of the largest motor more, and the device ahead against the next standard "
            "rating above the ampacity and the limit of small conductors; ahead of motors a "
            "larger device is free (240.4(G)) up to 250 % (breaker), 175 % (time-delay fuse) "
            "or 300 % (other fuse) of nameplate amperes and the rest, next rating up"),
     .editions = EDITION_LIST,
     .rows = {explain_rows_ampacity, explain_rows_air, explain_rows_bundle},
     .unseen = N_("air, raceway and markings that are not entered: 30 C, alone, unmarked")},
    {.check = "insulation-voltage",
     .remedy = N_("enters 600 V, or 1000 V above it"),
     .formula = N_("nominal volts nearest to the highest volts of the circuit or to ground against "
                   "the insulation's rating"),
     .unseen = N_("conductors of other circuits in the same raceway: all take the highest volts")},
    {.check = "landing-loose",
     .remedy = N_("marks the conductor sound, once it has been tightened or replaced"),
     .formula = N_("the condition entered for the conductor"),
     .unseen = N_("torque: tighten to the figure marked on the terminal")},
    {.check = "terminal-crowded",
     .formula =
         N_("conductor ends on a terminal against what it holds (two unless the kind says more)")},
    {.check = "wire-number-conflict",
     .formula = N_("one number on conductors that are not one piece of metal")},
    {.check = "wire-number-missing",
     .remedy = N_("numbers every piece of metal, from the largest number on"),
     .formula = N_("conductors without a number, less grounding conductors and capped leads")},
    /* grounding */
    {.check = "frame-not-grounded",
     .remedy = N_("lands the frame on a ground placed beside it"),
     .formula = N_("frames that no conductor bonds to earth")},
    {.check = "ground-carries-current",
     .formula = N_("amperes in each bond to earth with everything on, above 1 mA of load current"),
     .unseen = N_("currents of capacitance and of other buildings")},
    {.check = "ground-conductor-too-small",
     .remedy = N_("enters the size of the table"),
     .formula = N_("size by the device ahead, never more than the circuit conductors; 250.122(B) "
                   "raises it with them"),
     .rows = {explain_rows_grounding}},
    {.check = "grounded-twice",
     .formula = N_("two bonds of one grounded conductor that make a loop")},
    {.check = "line-to-ground",
     .formula = N_("a frame or earth in one net with an ungrounded conductor")},
    {.check = "secondary-not-grounded",
     .remedy = N_("bonds the lead to a ground placed beside it"),
     .formula = N_("secondary below 50 V: supply above 150 V to ground, or ungrounded; from 50 V: "
                   "some lead whose bond leaves no other above 150 V to ground"),
     .unseen = N_("circuits that may stay ungrounded by another clause (industrial control with "
                  "detectors)")},
    /* wiring and sheet */
    {.check = "class2-limit",
     .formula = N_("marked volts and VA of the secondary against the table"),
     .rows = {explain_rows_class2}},
    {.check = "class2-mixed",
     .formula =
         N_("nets of a class 2 secondary with everything closed against those of every other "
            "source; raceways by the marking entered for each conductor; terminal strips and "
            "outlines by what lands in them"),
     .editions = N_("2020: 725.136; 2023 moved cables and separation to 722 and 725 anew; the "
                    "separation itself is the same: 1/4 in (6 mm) or a barrier."),
     .unseen = N_(
         "distance and barriers inside an enclosure, and conductors whose raceway is not entered")},
    {.check = "contact-without-coil",
     .formula = N_("designation of the contact among the relays and contactors of the sheet")},
    {.check = "designation-duplicate",
     .remedy = N_("gives the second device a free designation"),
     .formula = N_("designations alike on two devices that are not coil and contact")},
    {.check = "device-outside-sheet",
     .remedy = N_("moves the device onto the paper"),
     .formula = N_("terminals of the device in millimetres against the paper")},
    {.check = "nameplate-incomplete",
     .formula =
         N_("figures the kind needs to compute; what is assumed instead stands in the finding")},
    {.check = "not-solved",
     .formula =
         N_("componentwise backward error below 1e-9, power and current balances below 1e-6; "
            "otherwise no volts are shown")},
    {.check = "short-circuit",
     .formula =
         N_("two conductors of a supply or two leads of a secondary in one net with protection "
            "closed and contacts as they stand; amperes as stated for the supply, or as solved "
            "for the winding")},
    {0},
};
