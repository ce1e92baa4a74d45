/* SPDX-License-Identifier: MIT */
/* What lies on the parts shelf: a button with a device's symbol that can also be dragged onto the
 * sheet. A kind is shown by a device with its initial nameplate, an own nameplate by its device. */
#pragma once

#include "diagram/device.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

/* What is dragged: a Device, counted. */
#define PART_SAMPLE_TYPE (part_sample_get_type())
GType part_sample_get_type(void);

/* below: a second, smaller line; nullable. Both are plain text. The caller sets the action. */
GtkWidget *part_item_new(const Device *sample, const char *title, const char *below,
                         const char *help);

G_END_DECLS
