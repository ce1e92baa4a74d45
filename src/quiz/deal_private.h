/* SPDX-License-Identifier: MIT */
/* Private to the quiz: what dealing and the proof share. */
#pragma once

#include "quiz/deal.h"

G_BEGIN_DECLS

DealtVersion *version_new(void);                                          /* without faults */
/* Fills in proof, path, difficulty, symptom and answers. Once. */
void version_judge(const Evidence *evidence, DealtVersion *version);

G_END_DECLS
