/* SPDX-License-Identifier: MIT */
#include "set.h"

#include "diagram/document_file.h"
#include "parts/catalog.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

Master
master_open(const char *sample)
{
  GError *error = NULL;
  Master master = {0};
  g_autofree char *name = g_strconcat(sample, ".doorsheet", NULL);
  g_autofree char *path = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", name, NULL);

  master.document = document_read(path, parts_catalog(), &error);
  if (master.document == NULL)
    fail_msg("%s", error->message);
  master.sound = inspection_new(master.document);
  master.scene = fault_scene_new(master.sound);
  master.evidence = evidence_new(master.scene, NULL, &error);
  if (master.evidence == NULL)
    fail_msg("%s", error->message);
  return master;
}

void
master_close(Master *master)
{
  evidence_free(master->evidence);
  fault_scene_free(master->scene);
  inspection_free(master->sound);
  document_free(master->document);
}

DealtVersion *
master_version(const Master *master, const Fault *fault, Deal *deal)
{
  g_autoptr(GPtrArray) places = fault_places(fault, master->scene);
  DealtVersion *version = NULL;

  if (places->len > 0) {
    DealtFault dealt = {fault, places->pdata[0]};
    g_autoptr(GPtrArray) faults = g_ptr_array_new();
    g_ptr_array_add(faults, &dealt);
    version = deal_judge(master->evidence, faults);
    version->number = 1;
  }
  *deal = (Deal){.digest = (char *)"0123456789abcdef0123456789abcdef", .order = deal_order_default};
  return version;
}
