/* SPDX-License-Identifier: MIT */
#include "diagram/part_kind.h"

#include "base/language.h"

#include <string.h>

const char *
part_group_title(PartGroup group)
{
  static const char *const titles[GROUP_COUNT] = {
      [GROUP_SUPPLY] = N_("Supply"),
      [GROUP_PROTECTION] = N_("Protection"),
      [GROUP_TRANSFORMER] = N_("Transformers"),
      [GROUP_CONTROL] = N_("Control"),
      [GROUP_LOAD] = N_("Loads"),
      [GROUP_END] = N_("Ends and grounds"),
  };
  g_return_val_if_fail((guint)group < GROUP_COUNT, "");
  return _(titles[group]);
}

const PartKind *
part_catalog_find(PartCatalog catalog, const char *name)
{
  for (; *catalog != NULL; catalog++)
    if (strcmp((*catalog)->name, name) == 0)
      return *catalog;
  return NULL;
}
