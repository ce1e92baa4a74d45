/* SPDX-License-Identifier: MIT */
#include "figure/route_grid.h"

#include <math.h>
#include <string.h>

/* Costs are whole hundredths of a millimetre, so that sums do not depend on their order. */
#define COST_BEND 600
#define COST_CROSSING 500
#define COST_SHARED 6000       /* to start running on top of another conductor, an edge */
#define COST_BEND_ON_LINE 4000 /* a corner on another conductor looks like a joint */
#define COST_CLOSE 150         /* an edge right beside a box */
#define MOST_STEPS 60000
#define MOST_GREEDY_STEPS 20000
#define GREED 4        /* how much more what is left counts, once a search has got long */
#define MOST_LINES 420 /* of the grid each way */
#define BARRED G_MAXINT

typedef struct {
  double *xs, *ys;
  int nx, ny;
  int *level, *upright;            /* cost of the edge right of, and below, each node */
  guint8 *has_level, *has_upright; /* another conductor passes the node that way */
} Grid;

typedef struct {
  guint64 key; /* estimate, then what of the cost is still open to go; the least comes first */
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
  for (int x = 0; x < grid->nx; x++)
    grid->level[x] = x + 1 < grid->nx ? (int)lround((grid->xs[x + 1] - grid->xs[x]) * 100) : BARRED;
  for (int y = 1; y < grid->ny; y++)
    memcpy(grid->level + y * grid->nx, grid->level, (gsize)grid->nx * sizeof(int));
  for (int y = 0; y < grid->ny; y++) {
    int down = y + 1 < grid->ny ? (int)lround((grid->ys[y + 1] - grid->ys[y]) * 100) : BARRED;
    for (int x = 0; x < grid->nx; x++)
      grid->upright[y * grid->nx + x] = down;
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

static Open
open_of(int estimate, int cost, guint serial, int state)
{
  return (Open){(guint64)estimate << 32 | (guint32)(G_MAXINT - cost), serial, state};
}

static int
open_cost(Open item)
{
  return G_MAXINT - (int)(guint32)item.key;
}

static bool
comes_before(const Open *a, const Open *b)
{
  return a->key != b->key ? a->key < b->key : a->serial < b->serial;
}

static void
heap_push(GArray *heap, Open item)
{
  g_array_set_size(heap, heap->len + 1);
  Open *items = (Open *)(gpointer)heap->data;
  guint i = heap->len - 1;
  for (; i > 0 && comes_before(&item, &items[(i - 1) / 2]); i = (i - 1) / 2)
    items[i] = items[(i - 1) / 2];
  items[i] = item;
}

static Open
heap_pop(GArray *heap)
{
  Open *items = (Open *)(gpointer)heap->data, top = items[0], last = items[--heap->len];
  guint n = heap->len, i = 0;
  for (guint least = 1; least < n; least = 2 * i + 1) {
    if (least + 1 < n && comes_before(&items[least + 1], &items[least]))
      least++;
    if (!comes_before(&items[least], &last))
      break;
    items[i] = items[least];
    i = least;
  }
  items[i] = last;
  return top;
}

/* --- what has been looked at --- */

/* Nodes; nothing when left > right. */
typedef struct {
  int left, top, right, bottom;
} Extent;

static const Extent no_extent = {G_MAXINT, G_MAXINT, -1, -1};

static void
extent_include(Extent *extent, int x, int y)
{
  extent->left = MIN(extent->left, x);
  extent->top = MIN(extent->top, y);
  extent->right = MAX(extent->right, x);
  extent->bottom = MAX(extent->bottom, y);
}

static bool
is_at_border(const Grid *grid, Extent e)
{
  return e.left == 0 || e.top == 0 || e.right == grid->nx - 1 || e.bottom == grid->ny - 1;
}

/* Round the nodes and their neighbours: where the costs are that have been read. */
static Rect
extent_box(const Grid *grid, Extent e)
{
  if (e.left > e.right)
    return rect_empty();
  Point a = {grid->xs[MAX(e.left - 1, 0)], grid->ys[MAX(e.top - 1, 0)]};
  Point b = {grid->xs[MIN(e.right + 1, grid->nx - 1)], grid->ys[MIN(e.bottom + 1, grid->ny - 1)]};
  return rect_from_points(a, b);
}

/* --- whether there is a way at all: from both ends in turn until they meet or one is shut in ---
 */

typedef struct {
  int *nodes; /* a queue */
  int first, last;
  guint8 mark;
  Extent extent;
} Flood;

static const int dx[] = {1, 0, -1, 0}, dy[] = {0, 1, 0, -1};

/* The node in a direction, or -1; sets the edge's cost. The edges beyond the last column and row
 * are barred, and so is the one before the first node of a row: it is the last of the row above. */
static int
neighbour(const Grid *grid, int node, int way, int *edge)
{
  const int step = way & 1 ? grid->nx : 1, next = way < 2 ? node + step : node - step;
  if (next < 0)
    return -1;
  const int low = way < 2 ? node : next;
  *edge = way & 1 ? grid->upright[low] : grid->level[low];
  return *edge == BARRED ? -1 : next;
}

static void
flood_add(Flood *flood, guint8 *marks, int node)
{
  marks[node] = flood->mark;
  flood->nodes[flood->last++] = node;
}

/* True when the other flood is met. */
static bool
flood_step(const Grid *grid, Flood *flood, guint8 *marks)
{
  int node = flood->nodes[flood->first++], edge;
  extent_include(&flood->extent, node % grid->nx, node / grid->nx);
  for (int way = 0; way < 4; way++) {
    int next = neighbour(grid, node, way, &edge);
    if (next < 0 || marks[next] == flood->mark)
      continue;
    if (marks[next] != 0)
      return true;
    flood_add(flood, marks, next);
  }
  return false;
}

/* Otherwise shut_in gets the part of the grid one end cannot get out of. */
static bool
is_connected(const Grid *grid, int start, int goal, Extent *shut_in)
{
  gsize n = (gsize)grid->nx * (gsize)grid->ny;
  g_autofree guint8 *marks = g_new0(guint8, n);
  g_autofree int *nodes = g_new(int, 2 * n);
  Flood floods[] = {{.nodes = nodes, .mark = 1, .extent = no_extent},
                    {.nodes = nodes + n, .mark = 2, .extent = no_extent}};
  if (start == goal)
    return true;
  flood_add(&floods[0], marks, start);
  flood_add(&floods[1], marks, goal);
  for (guint turn = 0;; turn = 1 - turn) {
    Flood *flood = &floods[turn];
    if (flood->first == flood->last) {
      *shut_in = flood->extent;
      return false;
    }
    if (flood_step(grid, flood, marks))
      return true;
  }
}

/* --- the search --- */

typedef struct {
  Grid grid;
  int *best;            /* cost of each state, BARRED when not reached */
  int *parent;          /* state before it, or -1 */
  int *left_x, *left_y; /* from each column and row to the goal's */
  int goal_x, goal_y;
  int weight;   /* of what is left */
  GArray *heap; /* of Open */
  guint serial;
  int goal;    /* node */
  int out, in; /* heading to set out with and to come in with; -1: any */
  Extent seen;
} Search;

/* Never more than what is still to pay. */
static int
least_left(const Search *search, int x, int y)
{
  int left = search->left_x[x] + search->left_y[y];
  return left - 2 + (x != search->goal_x && y != search->goal_y ? COST_BEND : 0);
}

static void
reach(Search *search, int state, int x, int y, int cost, int parent)
{
  if (cost >= search->best[state])
    return;
  search->best[state] = cost;
  search->parent[state] = parent;
  /* Two more, so that the estimate is nowhere below nothing. */
  int estimate = cost + search->weight * (least_left(search, x, y) + 2);
  heap_push(search->heap, open_of(estimate, cost, search->serial++, state));
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
  const Grid *grid = &search->grid;
  int node = from.state / 4, before = from.state % 4, cost = open_cost(from);
  int x = node % grid->nx, y = node / grid->nx;
  bool start = search->parent[from.state] < 0;
  extent_include(&search->seen, x, y);
  for (int after = 0; after < 4; after++) {
    int edge, turn = turn_cost(grid, node, start && search->out < 0 ? -1 : before, after);
    int next = turn == BARRED ? -1 : neighbour(grid, node, after, &edge);
    if (next < 0)
      continue;
    int last = 0;
    if (next == search->goal && search->in >= 0 && after != search->in)
      last = ((after + 2) & 3) == search->in ? BARRED : turn_cost(grid, next, after, search->in);
    if (last != BARRED)
      reach(search, next * 4 + after, x + dx[after], y + dy[after], cost + edge + turn + last,
            from.state);
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

static void
search_init(Search *search, int goal)
{
  const Grid *grid = &search->grid;
  gsize states = (gsize)grid->nx * (gsize)grid->ny * 4;
  search->goal = goal;
  search->goal_x = goal % grid->nx;
  search->goal_y = goal / grid->nx;
  search->best = g_new(int, states);
  search->parent = g_new(int, states);
  search->left_x = g_new(int, grid->nx);
  search->left_y = g_new(int, grid->ny);
  for (int x = 0; x < grid->nx; x++)
    search->left_x[x] = (int)lround(fabs(grid->xs[x] - grid->xs[search->goal_x]) * 100);
  for (int y = 0; y < grid->ny; y++)
    search->left_y[y] = (int)lround(fabs(grid->ys[y] - grid->ys[search->goal_y]) * 100);
  search->heap = g_array_new(FALSE, FALSE, sizeof(Open));
}

static void
search_clear(Search *search)
{
  g_array_unref(search->heap);
  g_free(search->best);
  g_free(search->parent);
  g_free(search->left_x);
  g_free(search->left_y);
}

/* The goal's state, or -1 with *ran_out when there might be a way yet. */
static int
search_run(Search *search, int start, int weight, int most_steps, bool *ran_out)
{
  int states = search->grid.nx * search->grid.ny * 4;
  for (int i = 0; i < states; i++)
    search->best[i] = BARRED;
  g_array_set_size(search->heap, 0);
  search->serial = 0;
  search->weight = weight;
  reach(search, start * 4 + MAX(search->out, 0), start % search->grid.nx, start / search->grid.nx,
        0, -1);
  for (int steps = 0; search->heap->len > 0 && steps < most_steps; steps++) {
    Open next = heap_pop(search->heap);
    if (open_cost(next) > search->best[next.state])
      continue;
    /* Standing on the goal from the start is an arrival too, unless it means turning round. */
    if (next.state / 4 == search->goal &&
        (steps > 0 || search->in < 0 || search->out < 0 || ((search->in + 2) & 3) != search->out))
      return next.state;
    expand(search, next);
  }
  *ran_out = search->heap->len > 0;
  return -1;
}

GArray *
route_grid_search(const RouteTask *task, Rect window, Point a, Point b, RouteSeen *seen)
{
  Search search = {.out = task->from.side < 0 ? -1 : task->from.side & 3,
                   .in = task->to.side < 0 ? -1 : (task->to.side + 2) & 3,
                   .seen = no_extent};
  if (window.width > MOST_LINES * GRID_STEP_MM || window.height > MOST_LINES * GRID_STEP_MM)
    return NULL;
  grid_init(&search.grid, task, window, a, b);
  int start = node_at(&search.grid, a), goal = node_at(&search.grid, b);
  GArray *way = NULL;
  if (is_connected(&search.grid, start, goal, &search.seen)) {
    bool ran_out = false;
    search_init(&search, goal);
    int state = search_run(&search, start, 1, MOST_STEPS, &ran_out);
    if (ran_out)
      state = search_run(&search, start, GREED, MOST_GREEDY_STEPS, &ran_out);
    if (state >= 0)
      way = trace(&search, state);
    search_clear(&search);
  } else {
    seen->is_shut_in = !is_at_border(&search.grid, search.seen);
  }
  seen->box = rect_union(seen->box, extent_box(&search.grid, search.seen));
  grid_clear(&search.grid);
  return way;
}
