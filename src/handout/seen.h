/* SPDX-License-Identifier: MIT */
/* What a student may see of a faulty panel on paper.
 *
 * The rule: a student sheet shows what eyes find with the covers off and the power locked out, and
 * what was written down before anything went wrong. It does not show what takes a meter or a pull.
 *
 *   Seen, so drawn as it is in the version:
 *     where conductors lie, one too many, one that is missing, a lead with or without its cap, two
 *       under one cap, grounds and bonds;
 *     colour, size, insulation rating and number printed on a conductor;
 *     nameplates, labels and settings of devices: ratings, volts, classes, marks of leads, the
 * relay a contact is named after; what is wrong with the sheet itself: a reading that cannot be, no
 * reading at all, a missing fault current, two devices of one designation, a device off the paper,
 * wires of the supply. Only measured, so drawn as if it were sound: whether a fuse is good (its
 * barrel does not tell), whether a conductor is whole inside its insulation, whether a landing
 * holds; what the supply delivers today: the sheet keeps the readings that were written down when
 * the diagram was sound. A printed exercise file, which knows no earlier day, has none; what a load
 * really draws: the sheet keeps its nameplate; how long a conductor is: lengths stand on no student
 * sheet at all. Nowhere: notes, as-measured values, computed volts and amperes, findings, remedies.
 */
#pragma once

#include "quiz/deal.h"

G_BEGIN_DECLS

/* False: only a meter or a pull finds it. */
bool seen_fault(const Fault *fault);

/* The exercise as its student sheet draws it: nothing that only a meter tells, the readings of its
 * supplies left out. For a file of which only itself is known. New document. */
Document *seen_document(const Document *exercise);

/* The same for a version whose sound diagram is known: faults that are only measured were never
 * made, and the supplies have the readings that were written down. exercise: what
 * deal_exercise_document gave. New document, or NULL with error. */
Document *seen_version(const Deal *deal, const DealtVersion *version, const FaultScene *scene,
                       const Document *exercise, GError **error);

G_END_DECLS
