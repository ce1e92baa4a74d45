/* SPDX-License-Identifier: MIT */
/* The result file a student hands in: NAME.doorsheet-result, XML in the namespace
 * "urn:doorsheet:result:1". It holds the student's name, the exercise as it was given, the log of
 * the attempt, the safety errors, the answers, the diagram as handed in and the score that was
 * shown, and a digest over all of it.
 *
 * What the digest is: HMAC-SHA-256 over the file's text without the digest, with a key made from
 * the exercise that is in the file and a constant of this program. It shows that something was
 * edited after the file was written: a name, a score, a step, one letter of a diagram. It is no
 * proof against an expert: whoever reads this source can compute the digest of a forged file. An
 * instructor who needs more has the attempts made under supervision, or grades again from the
 * diagram that was handed in, which class_table.h does.
 *
 * Reading is strict: unknown elements, attributes and values are errors, nothing is expanded or
 * fetched, at most 32 MiB. */
#pragma once

#include "diagram/document_file.h"
#include "grade/attempt.h"

G_BEGIN_DECLS

#define RESULT_NAMESPACE "urn:doorsheet:result:1"
#define RESULT_SUFFIX ".doorsheet-result"

#define RESULT_ERROR (result_error_quark())
GQuark result_error_quark(void);
typedef enum {
  RESULT_ERROR_OPEN,
  RESULT_ERROR_FORMAT, /* no result file, damaged, or written by a newer Doorsheet */
  RESULT_ERROR_EDITED  /* readable, but the digest does not fit */
} ResultErrorCode;

typedef struct {
  Attempt *attempt;
  Document *exercise; /* as it was given; says number, set, lesson */
  Document *final;    /* as it was handed in */
  double points;      /* that were shown, 0..100 */
  char *summary;      /* what was shown with them, lines; never NULL */
} Result;
/* Takes the attempt; the documents are snapshots of the caller's. */
Result *result_new(Attempt *take_attempt, const Document *exercise, const Document *final,
                   double points, const char *summary);
void result_free(Result *result);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Result, result_free)

/* The file's text; same result, same bytes. New bytes, a NUL behind the last. */
GBytes *result_write_memory(const Result *result);
bool result_save(const Result *result, const char *path, GError **error); /* atomic */
/* RESULT_ERROR_EDITED when it was changed after it was written. */
Result *result_read_memory(const char *data, gsize size, const char *name, PartCatalog catalog,
                           GError **error);
Result *result_read(const char *path, PartCatalog catalog, GError **error);

/* "exercise-3-jo-miller.doorsheet-result": a proposal. New string. */
char *result_dup_name(const Result *result);

G_END_DECLS
