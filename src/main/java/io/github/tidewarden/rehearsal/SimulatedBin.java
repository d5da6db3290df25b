package io.github.tidewarden.rehearsal;

/** A bin of new water that one tank or several draw from. Not thread-safe. */
public final class SimulatedBin {
  private double litres;
  private double psu;

  /**
   * A bin as it is found.
   *
   * @param litres what it holds, L, not negative
   * @param psu practical salinity of that
   */
  public SimulatedBin(double litres, double psu) {
    this.litres = litres;
    this.psu = psu;
  }

  /** Takes water out until it is empty; what came, L. */
  double draw(double wantedLitres) {
    double drawn = Math.min(wantedLitres, litres);
    litres -= drawn;
    return drawn;
  }

  /** Somebody sets what is in it, L: pours in, or takes out, of the same water. */
  void holds(double newLitres) {
    litres = newLitres;
  }

  /**
   * Somebody pours water in; it mixes at once.
   *
   * @param addedLitres L, not negative
   * @param addedPsu its practical salinity
   */
  public void fill(double addedLitres, double addedPsu) {
    double salt = litres * psu + addedLitres * addedPsu;
    litres += addedLitres;
    psu = litres == 0 ? addedPsu : salt / litres;
  }

  /** What it holds, L. */
  public double litres() {
    return litres;
  }

  /** Practical salinity of what it holds. */
  public double psu() {
    return psu;
  }
}
