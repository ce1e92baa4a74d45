/* SPDX-License-Identifier: MIT */
/* What GTK's own composite widgets leave out for assistive technology, put right in one place for
 * all of them, whoever makes one. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* Call once, before the first window. */
void access_init(void);

G_END_DECLS
