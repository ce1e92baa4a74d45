/* SPDX-License-Identifier: MIT */
/* What writing and reading a result file share. */
#pragma once

#include "grade/result_file.h"

G_BEGIN_DECLS

/* Over the file's text without it. New string. */
char *result_dup_digest(const Result *result);

G_END_DECLS
