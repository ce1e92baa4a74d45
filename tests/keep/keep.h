/* SPDX-License-Identifier: MIT */
/* A home of its own for each test program: configuration and state folders nobody else uses. */
#pragma once

#include <glib.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* Call before anything asks for a folder. Returns the home; keep_home_remove takes it away. */
const char *keep_home(void);
void keep_home_remove(void);
char *keep_path(const char *name); /* in the home, new string */
void keep_write(const char *path, const char *text);
char *keep_read(const char *path);
