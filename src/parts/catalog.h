/* SPDX-License-Identifier: MIT */
/* The explicit alphabetical list of device kinds. */
#pragma once

#include "diagram/part_kind.h"

PartCatalog parts_catalog(void); /* static */
