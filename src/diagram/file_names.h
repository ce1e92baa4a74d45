/* SPDX-License-Identifier: MIT */
/* Private to the diagram layer: names of the file that reader, writer and schema share. */
#pragma once

#include "diagram/document_file.h"

G_BEGIN_DECLS

#define FILE_ROOT "doorsheet"
#define FILE_EQUIPMENT "equipment"
#define FILE_DEVICE "device"
#define FILE_CONDUCTOR "conductor"
#define FILE_MEASURED "as-measured"
#define FILE_EXERCISE "exercise"
#define FILE_INTENDED "expected-fault"

#define FILE_MAX_BYTES (64u * 1024u * 1024u)
#define FILE_MAX_DEPTH 64

/* Reads a whole file, at most FILE_MAX_BYTES; error FILE_ERROR_OPEN "NAME: ...". */
GBytes *file_read_bounded(const char *path, GError **error);

G_END_DECLS
