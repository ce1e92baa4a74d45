/* SPDX-License-Identifier: MIT */
#include "sheet/flow.h"

void
block_free(Block *block)
{
  block->class_->free(block);
}

Flow *
flow_new(double tallest)
{
  Flow *flow = g_new0(Flow, 1);
  flow->blocks = g_ptr_array_new_with_free_func((GDestroyNotify)block_free);
  flow->fragments = g_array_new(FALSE, FALSE, sizeof(Fragment));
  flow->tallest = tallest;
  return flow;
}

void
flow_free(Flow *flow)
{
  if (flow == NULL)
    return;
  g_ptr_array_unref(flow->blocks);
  g_array_unref(flow->fragments);
  g_free(flow);
}

void
flow_add(Flow *flow, Block *take_block)
{
  g_ptr_array_add(flow->blocks, take_block);
}

bool
flow_done(const Flow *flow)
{
  return flow->next >= flow->blocks->len;
}

static double
height_of(Block *block, guint first, guint count, double width)
{
  double height = block->class_->head_height(block, width) + block->class_->tail_height(block);
  for (guint i = 0; i < count; i++)
    height += block->class_->slice_height(block, first + i, width);
  return height;
}

/* How many slices from `first` on fit into height. */
static guint
slices_that_fit(Block *block, guint first, double width, double height)
{
  const guint all = block->class_->count(block, width);
  double used = block->class_->head_height(block, width) + block->class_->tail_height(block);
  guint count = 0;

  while (first + count < all) {
    used += block->class_->slice_height(block, first + count, width);
    if (used > height + 1e-6)
      break;
    count++;
  }
  return count;
}

/* A stretch is put down: recorded unless this is a trial. */
static void
put(Flow *flow, guint count, guint page, Point at, double width, bool trial)
{
  Block *block = flow->blocks->pdata[flow->next];

  if (!trial) {
    const Fragment fragment = {.block = block,
                               .first = flow->slice,
                               .count = count,
                               .page = page,
                               .at = at,
                               .width = width};
    g_array_append_val(flow->fragments, fragment);
  }
  flow->slice += count;
  if (flow->slice >= block->class_->count(block, width)) {
    flow->next++;
    flow->slice = 0;
  }
}

/* How many slices of the next block go into this room of a column: 0 where it has to wait. first:
 * nothing stands on the page yet, so that waiting for a new one would not help. */
static guint
slices_to_put(const Flow *flow, double width, double room, bool first)
{
  Block *block = flow->blocks->pdata[flow->next];
  const guint left = block->class_->count(block, width) - flow->slice;
  const guint count = slices_that_fit(block, flow->slice, width, room);

  if (count >= left)
    return left;
  if (block->whole && flow->slice == 0 && height_of(block, 0, left, width) <= flow->tallest)
    return 0;
  if (flow->slice == 0 && count < FLOW_FEWEST && !first)
    return 0;
  return count;
}

/* Fills one column; returns the height used. force: the first slice goes in even if too high. */
static double
fill_column(Flow *flow, guint page, Rect area, guint until, bool force, bool trial)
{
  double y = 0;

  while (flow->next < until) {
    Block *block = flow->blocks->pdata[flow->next];
    const double gap = y > 0 ? FLOW_BLOCK_GAP : 0;
    const guint left = block->class_->count(block, area.width) - flow->slice;
    guint count = slices_to_put(flow, area.width, area.height - y - gap, force && y <= 0);

    if (count == 0 && y <= 0 && force)
      count = 1;
    if (count == 0 && left > 0)
      break;
    const double height = height_of(block, flow->slice, count, area.width);
    put(flow, count, page, (Point){area.x, area.y + y + gap}, area.width, trial);
    flow->overflowed = flow->overflowed || (!trial && height > area.height - y - gap + 1e-6);
    y += gap + height;
    if (count < left)
      break;
  }
  return y;
}

/* Fills columns of a height; true when the run up to `until` is placed. */
static bool
fill_columns(Flow *flow, guint page, Rect area, guint columns, guint until, bool force, bool trial,
             double *used)
{
  const double width = (area.width - (columns - 1) * FLOW_COLUMN_GAP) / columns;

  *used = 0;
  for (guint c = 0; c < columns && flow->next < until; c++) {
    const Rect column = {area.x + c * (width + FLOW_COLUMN_GAP), area.y, width, area.height};
    const double height = fill_column(flow, page, column, until, force && c == 0, trial);
    *used = MAX(*used, height);
  }
  return flow->next >= until;
}

static bool
try_columns(Flow *flow, Rect area, guint columns, guint until)
{
  const guint next = flow->next, slice = flow->slice;
  double used = 0;
  const bool fits = fill_columns(flow, 0, area, columns, until, false, true, &used);

  flow->next = next;
  flow->slice = slice;
  return fits;
}

/* The lowest column height that still holds the run: columns end at about the same height. */
static double
balanced_height(Flow *flow, Rect area, guint columns, guint until)
{
  double low = 0, high = area.height;

  if (!try_columns(flow, area, columns, until))
    return area.height;
  while (high - low > 0.25) {
    const double middle = (low + high) / 2;
    const Rect trial = {area.x, area.y, area.width, middle};
    if (try_columns(flow, trial, columns, until))
      high = middle;
    else
      low = middle;
  }
  return high;
}

/* End of the run of blocks that are as wide as the next one. */
static guint
run_end(const Flow *flow, guint until)
{
  guint end = flow->next;
  const bool wide = ((const Block *)flow->blocks->pdata[end])->wide;

  while (end < until && ((const Block *)flow->blocks->pdata[end])->wide == wide)
    end++;
  return end;
}

/* Fills one run into what is left of an area; returns the height used. */
static double
fill_run(Flow *flow, guint page, Rect band, guint columns, guint end, bool force, bool *done)
{
  const bool wide = ((const Block *)flow->blocks->pdata[flow->next])->wide;
  const guint n = wide ? 1 : columns;
  double used = 0;

  band.height = balanced_height(flow, band, n, end);
  *done = fill_columns(flow, page, band, n, end, force, false, &used);
  return used;
}

/* Moves a block to where the next one is, or back again. */
static void
move_block(Flow *flow, guint from, guint to)
{
  g_ptr_array_insert(flow->blocks, (gint)to, g_ptr_array_steal_index(flow->blocks, from));
}

/* Puts loose blocks before the next one: the first that fits into a band, and where it is as wide
 * as a column the ones that fit beside it. Returns how many. */
static guint
bring_forward(Flow *flow, Rect band, guint columns, guint until)
{
  guint brought = 0;
  bool wide = false;

  if (flow->slice > 0 || band.height <= 0)
    return 0;
  for (guint i = flow->next + 1; i < until && !(wide && brought > 0); i++) {
    const Block *block = flow->blocks->pdata[i];
    const guint to = flow->next + brought;
    if (!block->loose || (brought > 0 && block->wide))
      continue;
    wide = block->wide;
    move_block(flow, i, to);
    if (try_columns(flow, band, wide ? 1 : columns, to + 1))
      brought++;
    else
      move_block(flow, to, i);
  }
  return brought;
}

static double
fill_page(Flow *flow, guint page, Rect area, guint columns, guint until, bool force)
{
  double y = 0;

  while (flow->next < until) {
    const double gap = y > 0 ? FLOW_BLOCK_GAP : 0;
    Rect band = {area.x, area.y + y + gap, area.width, area.height - y - gap};
    bool done = false;

    if (band.height <= 0)
      break;
    const double used =
        fill_run(flow, page, band, columns, run_end(flow, until), force && y <= 0, &done);
    y += used > 0 ? gap + used : 0;
    if (done)
      continue;
    const double below = y > 0 ? y + FLOW_BLOCK_GAP : 0;
    band = (Rect){area.x, area.y + below, area.width, area.height - below};
    const guint brought = bring_forward(flow, band, columns, until);
    if (brought == 0)
      break;
    y = below + fill_run(flow, page, band, columns, flow->next + brought, false, &done);
  }
  return y;
}

double
flow_fill(Flow *flow, guint page, Rect area, guint columns, guint until, bool force)
{
  const guint next = flow->next, slice = flow->slice, fragments = flow->fragments->len;

  until = MIN(until, flow->blocks->len);
  const double used = fill_page(flow, page, area, columns, until, force);
  if (flow->next >= until || flow->slice > 0 || flow->next < next + 2 ||
      !((const Block *)flow->blocks->pdata[flow->next])->keeps)
    return used;
  /* The block before goes to the next page too. */
  const guint before = flow->next - 1;
  flow->next = next;
  flow->slice = slice;
  g_array_set_size(flow->fragments, fragments);
  return fill_page(flow, page, area, columns, before, force);
}

bool
flow_fits(Flow *flow, Rect area, guint columns, guint until)
{
  const guint next = flow->next, slice = flow->slice, fragments = flow->fragments->len;

  flow_fill(flow, 0, area, columns, until, false);
  const bool fits = flow->next >= MIN(until, flow->blocks->len);
  flow->next = next;
  flow->slice = slice;
  g_array_set_size(flow->fragments, fragments);
  return fits;
}

static void
draw_fragment(const Fragment *fragment, Pen *pen)
{
  Block *block = fragment->block;
  Point at = fragment->at;

  block->class_->draw_head(block, at, fragment->width, fragment->first > 0, pen);
  at.y += block->class_->head_height(block, fragment->width);
  for (guint i = 0; i < fragment->count; i++) {
    block->class_->draw_slice(block, fragment->first + i, at, fragment->width, pen);
    at.y += block->class_->slice_height(block, fragment->first + i, fragment->width);
  }
  block->class_->draw_tail(block, at, fragment->width, pen);
}

void
flow_draw_page(const Flow *flow, guint page, Pen *pen)
{
  for (guint i = 0; i < flow->fragments->len; i++) {
    const Fragment *fragment = &g_array_index(flow->fragments, Fragment, i);
    if (fragment->page == page)
      draw_fragment(fragment, pen);
  }
}
