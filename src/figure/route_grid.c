/* SPDX-License-Identifier: MIT */
#include "figure/route_grid.h"

#include <math.h>

/* Costs are whole hundredths of a millimetre, so that sums do not depend on their order. */
#define COST_BEND 600
#define COST_CROSSING 500
#define COST_SHARED 6000       /* to start running on top of another conductor, an edge */
#define COST_BEND_ON_LINE 4000 /* a corner on another conductor looks like a joint */
#define COST_CLOSE 150         /* an edge right beside a box */
#define MOST_STEPS 60000
#define MOST_LINES 420 /* of the grid each way */
#define BARRED G_MAXINT

typedef struct {
  double *xs, *ys;
  int nx, ny;
  int *level, *upright;            /* cost of the edge right of, and below, each node */
  guint8 *has_level, *has_upright; /* another conductor passes the node that way */
} Grid;

typedef struct {
  int estimate, cost;
  guint serial;
  int state; /* node * 4 + heading */
} Open;

static int
compare_doubles(gconstpointer a, gconstpointer b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return x < y ? -1 : x > y;
}

/* Lines of the grid inside [low, high] and the two that the ends lie on. */
static double *
grid_lines(double low, double high, double first, double second, int *n)
{
  GArray *lines = g_array_new(FALSE, FALSE, sizeof(double));
  for (double step = ceil(low / GRID_STEP_MM); step * GRID_STEP_MM <= high; step += 1) {
    double at = step * GRID_STEP_MM;
    if (lines->len > MOST_LINES)
      break;
    if (fabs(at - first) > 1e-6 && fabs(at - second) > 1e-6)
      g_array_append_val(lines, at);
  }
  g_array_append_val(lines, first);
  if (fabs(first - second) > 1e-6)
    g_array_append_val(lines, second);
  g_array_sort(lines, compare_doubles);
  *n = (int)lines->len;
  return (double *)(gpointer)g_array_free(lines, FALSE);
}

/* Index of the first line at or after value. */
static int
lower_bound(const double *lines, int n, double value)
{
  int low = 0, high = n;
  while (low < high) {
    int middle = (low + high) / 2;
    if (lines[middle] < value)
      low = middle + 1;
    else
      high = middle;
  }
  return low;
}

static void
raise_cost(int *cost, int by)
{
  if (*cost != BARRED)
    *cost = by == BARRED ? BARRED : *cost + by;
}

/* Adds to every edge that lies in the open box; with BARRED it closes them. */
static void
mark_box(Grid *grid, Rect box, int cost)
{
  double right = box.x + box.width, bottom = box.y + box.height;
  int first_x = lower_bound(grid->xs, grid->nx, box.x + 1e-6);
  int last_x = lower_bound(grid->xs, grid->nx, right - 1e-6); /* one past */
  int first_y = lower_bound(grid->ys, grid->ny, box.y + 1e-6);
  int last_y = lower_bound(grid->ys, grid->ny, bottom - 1e-6);
  for (int y = first_y; y < last_y; y++)
    for (int x = MAX(first_x - 1, 0); x < MIN(last_x, grid->nx - 1); x++)
      raise_cost(&grid->level[y * grid->nx + x], cost);
  for (int y = MAX(first_y - 1, 0); y < MIN(last_y, grid->ny - 1); y++)
    for (int x = first_x; x < last_x; x++)
      raise_cost(&grid->upright[y * grid->nx + x], cost);
}

/* Another conductor's stretch takes the grid line nearest to it (within half a step). */
static void
mark_line(Grid *grid, RouteLine line)
{
  bool level = fabs(line.a.x - line.b.x) >= fabs(line.a.y - line.b.y);
  Rect r = rect_from_points(line.a, line.b);
  const double near = GRID_STEP_MM / 2 - 1e-6;
  Rect taken = level ? (Rect){r.x, r.y - near, r.width, r.height + 2 * near}
                     : (Rect){r.x - near, r.y, r.width + 2 * near, r.height};
  int first_x = lower_bound(grid->xs, grid->nx, taken.x - 1e-6);
  int last_x = lower_bound(grid->xs, grid->nx, taken.x + taken.width + 1e-6);
  int first_y = lower_bound(grid->ys, grid->ny, taken.y - 1e-6);
  int last_y = lower_bound(grid->ys, grid->ny, taken.y + taken.height + 1e-6);
  for (int y = first_y; y < last_y; y++)
    for (int x = first_x; x < last_x; x++) {
      int node = y * grid->nx + x;
      (level ? grid->has_level : grid->has_upright)[node] = 1;
      if (level && x + 1 < last_x)
        raise_cost(&grid->level[node], COST_SHARED);
      if (!level && y + 1 < last_y)
        raise_cost(&grid->upright[node], COST_SHARED);
    }
}

static void
grid_init(Grid *grid, const RouteTask *task, Rect window, Point a, Point b)
{
  grid->xs = grid_lines(window.x, window.x + window.width, a.x, b.x, &grid->nx);
  grid->ys = grid_lines(window.y, window.y + window.height, a.y, b.y, &grid->ny);
  int n = grid->nx * grid->ny;
  grid->level = g_new(int, n);
  grid->upright = g_new(int, n);
  grid->has_level = g_new0(guint8, n);
  grid->has_upright = g_new0(guint8, n);
  for (int y = 0; y < grid->ny; y++)
    for (int x = 0; x < grid->nx; x++) {
      double across = x + 1 < grid->nx ? grid->xs[x + 1] - grid->xs[x] : 0;
      double down = y + 1 < grid->ny ? grid->ys[y + 1] - grid->ys[y] : 0;
      grid->level[y * grid->nx + x] = x + 1 < grid->nx ? (int)lround(across * 100) : BARRED;
      grid->upright[y * grid->nx + x] = y + 1 < grid->ny ? (int)lround(down * 100) : BARRED;
    }
  for (guint i = 0; i < task->n_lines; i++)
    mark_line(grid, task->lines[i]);
  for (guint i = 0; i < task->n_boxes; i++)
    mark_box(grid, rect_grow(task->boxes[i], GRID_STEP_MM - ROUTE_CLEARANCE), COST_CLOSE);
  for (guint i = 0; i < task->n_boxes; i++)
    mark_box(grid, task->boxes[i], BARRED);
}

static void
grid_clear(Grid *grid)
{
  g_free(grid->xs);
  g_free(grid->ys);
  g_free(grid->level);
  g_free(grid->upright);
  g_free(grid->has_level);
  g_free(grid->has_upright);
}

/* --- heap of states, cheapest first; ties go to the one further on, then to the older --- */

static bool
comes_before(const Open *a, const Open *b)
{
  if (a->estimate != b->estimate)
    return a->estimate < b->estimate;
  if (a->cost != b->cost)
    return a->cost > b->cost;
  return a->serial < b->serial;
}

static void
heap_push(GArray *heap, Open item)
{
  g_array_append_val(heap, item);
  Open *items = (Open *)(gpointer)heap->data;
  guint i = heap->len - 1;
  while (i > 0 && comes_before(&items[i], &items[(i - 1) / 2])) {
    Open swap = items[i];
    items[i] = items[(i - 1) / 2];
    items[(i - 1) / 2] = swap;
    i = (i - 1) / 2;
  }
}

static Open
heap_pop(GArray *heap)
{
  Open *items = (Open *)(gpointer)heap->data, top = items[0];
  items[0] = items[heap->len - 1];
  g_array_set_size(heap, heap->len - 1);
  guint n = heap->len;
  for (guint i = 0;;) {
    guint least = i, left = 2 * i + 1, right = left + 1;
    if (left < n && comes_before(&items[left], &items[least]))
      least = left;
    if (right < n && comes_before(&items[right], &items[least]))
      least = right;
    if (least == i)
      return top;
    Open swap = items[i];
    items[i] = items[least];
    items[least] = swap;
    i = least;
  }
}

/* --- the search --- */

typedef struct {
  Grid grid;
  int *best;    /* cost of each state, BARRED when not reached */
  int *parent;  /* state before it, or -1 */
  GArray *heap; /* of Open */
  guint serial;
  int goal;    /* node */
  int out, in; /* heading to set out with and to come in with; -1: any */
} Search;

/* Never more than what is still to pay. */
static int
least_left(const Search *search, int node)
{
  const Grid *grid = &search->grid;
  int x = node % grid->nx, y = node / grid->nx;
  int goal_x = search->goal % grid->nx, goal_y = search->goal / grid->nx;
  int left = (int)lround(fabs(grid->xs[x] - grid->xs[goal_x]) * 100) +
             (int)lround(fabs(grid->ys[y] - grid->ys[goal_y]) * 100);
  return left - 2 + (x != goal_x && y != goal_y ? COST_BEND : 0);
}

static void
reach(Search *search, int state, int cost, int parent)
{
  if (cost >= search->best[state])
    return;
  search->best[state] = cost;
  search->parent[state] = parent;
  heap_push(search->heap,
            (Open){cost + least_left(search, state / 4), cost, search->serial++, state});
}

/* What leaving a node in a direction costs, having come in another (-1: the start). */
static int
turn_cost(const Grid *grid, int node, int before, int after)
{
  if (before >= 0 && ((before + 2) & 3) == after)
    return BARRED;
  bool level = grid->has_level[node], upright = grid->has_upright[node];
  if (before == after)
    return (after & 1 ? level : upright) ? COST_CROSSING : 0;
  int cost = before < 0 ? 0 : COST_BEND;
  return cost + (level || upright ? COST_BEND_ON_LINE : 0);
}

static void
expand(Search *search, Open from)
{
  static const int dx[] = {1, 0, -1, 0}, dy[] = {0, 1, 0, -1};
  const Grid *grid = &search->grid;
  int node = from.state / 4, before = from.state % 4;
  int x = node % grid->nx, y = node / grid->nx;
  bool start = search->parent[from.state] < 0;
  for (int after = 0; after < 4; after++) {
    int next_x = x + dx[after], next_y = y + dy[after];
    if (next_x < 0 || next_y < 0 || next_x >= grid->nx || next_y >= grid->ny)
      continue;
    int next = next_y * grid->nx + next_x, low = MIN(node, next);
    int edge = after & 1 ? grid->upright[low] : grid->level[low];
    int turn = turn_cost(grid, node, start && search->out < 0 ? -1 : before, after);
    if (edge == BARRED || turn == BARRED)
      continue;
    int last = 0;
    if (next == search->goal && search->in >= 0 && after != search->in)
      last = ((after + 2) & 3) == search->in ? BARRED : turn_cost(grid, next, after, search->in);
    if (last != BARRED)
      reach(search, next * 4 + after, from.cost + edge + turn + last, from.state);
  }
}

static GArray *
trace(const Search *search, int state)
{
  GArray *way = g_array_new(FALSE, FALSE, sizeof(Point));
  for (; state >= 0; state = search->parent[state]) {
    int node = state / 4;
    Point p = {search->grid.xs[node % search->grid.nx], search->grid.ys[node / search->grid.nx]};
    g_array_append_val(way, p);
  }
  for (guint i = 0, j = way->len; i + 1 < j--; i++) {
    Point swap = g_array_index(way, Point, i);
    g_array_index(way, Point, i) = g_array_index(way, Point, j);
    g_array_index(way, Point, j) = swap;
  }
  return way;
}

static int
node_at(const Grid *grid, Point p)
{
  int x = lower_bound(grid->xs, grid->nx, p.x - 1e-6);
  int y = lower_bound(grid->ys, grid->ny, p.y - 1e-6);
  return y * grid->nx + x;
}

GArray *
route_grid_search(const RouteTask *task, Rect window, Point a, Point b)
{
  Search search = {.out = task->from.side < 0 ? -1 : task->from.side & 3,
                   .in = task->to.side < 0 ? -1 : (task->to.side + 2) & 3};
  if (window.width > MOST_LINES * GRID_STEP_MM || window.height > MOST_LINES * GRID_STEP_MM)
    return NULL;
  grid_init(&search.grid, task, window, a, b);
  int states = search.grid.nx * search.grid.ny * 4;
  search.best = g_new(int, states);
  search.parent = g_new(int, states);
  for (int i = 0; i < states; i++)
    search.best[i] = BARRED;
  search.heap = g_array_new(FALSE, FALSE, sizeof(Open));
  search.goal = node_at(&search.grid, b);
  int start = node_at(&search.grid, a);
  reach(&search, start * 4 + MAX(search.out, 0), 0, -1);
  GArray *way = NULL;
  for (int steps = 0; search.heap->len > 0 && steps < MOST_STEPS; steps++) {
    Open next = heap_pop(search.heap);
    if (next.cost > search.best[next.state])
      continue;
    /* Standing on the goal from the start is an arrival too, unless it means turning round. */
    if (next.state / 4 == search.goal &&
        (steps > 0 || search.in < 0 || search.out < 0 || ((search.in + 2) & 3) != search.out)) {
      way = trace(&search, next.state);
      break;
    }
    expand(&search, next);
  }
  g_array_unref(search.heap);
  g_free(search.best);
  g_free(search.parent);
  grid_clear(&search.grid);
  return way;
}
