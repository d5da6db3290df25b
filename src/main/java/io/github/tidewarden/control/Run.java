package io.github.tidewarden.control;

import io.github.tidewarden.schedule.Spend;
import java.time.LocalDate;
import org.jspecify.annotations.Nullable;

/**
 * One run of the generator as far as its account is not closed.
 *
 * @param number counts the runs of the tank, from 1
 * @param night whose allowance it takes
 * @param reservedMillis running time that is taken from the allowance for it, ms
 * @param spend what it can have spent at most, once it has ended; null while it may still run
 */
record Run(long number, LocalDate night, long reservedMillis, @Nullable Spend spend) {

  /** What counts against the allowance, ms: all that is reserved until the run has ended. */
  long countedMillis() {
    return spend == null ? reservedMillis : spend.amount();
  }
}
