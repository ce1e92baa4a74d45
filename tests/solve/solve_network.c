/* SPDX-License-Identifier: MIT */
/* solve-network DATA.csv EXPECTED.csv: solves each case of published networks and prints, for
 * every quantity, what is expected, what was solved and the difference. Exits 1 on a failure. */
#include "network.h"

#include <stdio.h>

int
main(int argc, char **argv)
{
  g_autoptr(GError) error = NULL;
  NetworkTally tally;
  if (argc != 3) {
    fprintf(stderr, "usage: solve-network DATA.csv EXPECTED.csv\n");
    return 2;
  }
  if (!network_compare(argv[1], argv[2], stdout, &tally, &error)) {
    fprintf(stderr, "solve-network: %s\n", error->message);
    return 2;
  }
  printf("%u quantities, %u failed, %u equal to the exact solution beside the printed digits\n",
         tally.quantities, tally.failed, tally.beside_print);
  return tally.failed > 0 || tally.quantities == 0 ? 1 : 0;
}
