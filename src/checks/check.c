/* SPDX-License-Identifier: MIT */
#include "checks/check.h"

#include <string.h>

G_DEFINE_QUARK(doorsheet - check - error, check_error)

const Check *
check_find(const char *name)
{
  for (const Check *check = checks_table; check->name != NULL; check++)
    if (strcmp(check->name, name) == 0)
      return check;
  return NULL;
}

Finding *
check_report(const Check *check, CheckContext *context, char *take_message, char *take_remedy, ...)
{
  Finding *finding = finding_new(check->name, check->title, check->signal, check->source,
                                 take_message, take_remedy, NULL);
  va_list places;
  va_start(places, take_remedy);
  for (const char *place = va_arg(places, const char *); place != NULL;
       place = va_arg(places, const char *))
    finding_add_place(finding, "%s", place);
  va_end(places);
  g_ptr_array_add(context->findings, finding);
  return finding;
}
