package io.github.tidewarden.rehearsal;

/** What takes up waste water, until somebody empties it. Not thread-safe. */
final class SimulatedWaste {
  private final double holdsLitres;
  private double litres;

  /**
   * An empty one.
   *
   * @param holdsLitres what it takes, L, positive; infinite for a drain
   */
  SimulatedWaste(double holdsLitres) {
    this.holdsLitres = holdsLitres;
  }

  void takes(double moreLitres) {
    litres += moreLitres;
  }

  void isEmptied() {
    litres = 0;
  }

  /** What went into it since it was emptied, L; also what ran over. */
  double litres() {
    return litres;
  }

  double holdsLitres() {
    return holdsLitres;
  }

  boolean full() {
    return litres >= holdsLitres;
  }

  /** Whether it has spilt more than a splash, a hundredth of what it holds. */
  boolean runsOver() {
    return litres > 1.01 * holdsLitres;
  }
}
