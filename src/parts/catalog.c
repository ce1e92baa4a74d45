/* SPDX-License-Identifier: MIT */
#include "parts/catalog.h"

#include "parts/kinds.h"

static const PartKind *const catalog[] = {
    &part_breaker,     &part_cap,    &part_capacitor, &part_contact,        &part_contactor,
    &part_disconnect,  &part_fuse,   &part_ground,    &part_heater,         &part_lamp,
    &part_load,        &part_motor,  &part_outline,   &part_receptacle,     &part_relay,
    &part_splice,      &part_supply, &part_switch,    &part_terminal_strip, &part_test_point,
    &part_transformer, NULL,
};

PartCatalog
parts_catalog(void)
{
  return catalog;
}
