/* SPDX-License-Identifier: MIT */
/* SVG back end: real text, groups with id, title and description, through xmlTextWriter. */
#pragma once

#include "pen/pen.h"
#include "pen/pen_cairo.h"

G_BEGIN_DECLS

/* Writes one SVG 1.1 document into bytes. Several pages are stacked downwards in it.
 * metadata_xml: well-formed XML copied into <metadata>, nullable (the diagram itself, so that
 * opening the SVG opens the diagram). title, description: of the whole picture. */
Pen *pen_svg_new(GByteArray *bytes, Palette palette, const char *title, const char *description,
                 const char *metadata_xml);

G_END_DECLS
