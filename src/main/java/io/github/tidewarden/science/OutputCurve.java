package io.github.tidewarden.science;

import java.util.List;

/**
 * What a generator makes at each setting, be it its duty (the share of the time that it is on) or a
 * level that it is told: straight between the points, which a maker gives or a keeper measures.
 * Nothing is told beyond them.
 *
 * @param points 2 to 100, settings rising, output never falling
 */
public record OutputCurve(List<Point> points) {

  /** A bound on a list that comes from a file. */
  public static final int MOST_POINTS = 100;

  private static final double MAX_SETTING = 1e6;
  private static final double MAX_MILLIGRAMS_PER_HOUR = 1e6;

  /**
   * One point.
   *
   * @param setting duty or level, 0 to 1e6
   * @param milligramsPerHour ozone, 0 to 1e6 mg/h
   */
  public record Point(double setting, double milligramsPerHour) {

    /**
     * Checks the bounds.
     *
     * @throws IllegalArgumentException when a number is not one or out of bounds
     */
    public Point {
      Bounds.within("setting", setting, 0, MAX_SETTING);
      Bounds.within("output in mg/h", milligramsPerHour, 0, MAX_MILLIGRAMS_PER_HOUR);
    }
  }

  /**
   * Checks the order.
   *
   * @throws IllegalArgumentException when there are too few or too many points, a setting does not
   *     rise, or an output falls
   */
  public OutputCurve {
    points = List.copyOf(points);
    if (points.size() < 2 || points.size() > MOST_POINTS) {
      throw new IllegalArgumentException(
          "an output curve has 2 to " + MOST_POINTS + " points, not " + points.size());
    }
    for (int i = 1; i < points.size(); i++) {
      Point before = points.get(i - 1);
      Point point = points.get(i);
      if (point.setting <= before.setting) {
        throw new IllegalArgumentException(
            "setting " + point.setting + " must be over " + before.setting + ", the one before");
      }
      if (point.milligramsPerHour < before.milligramsPerHour) {
        throw new IllegalArgumentException(
            "output falls from "
                + before.milligramsPerHour
                + " to "
                + point.milligramsPerHour
                + " mg/h as the setting rises to "
                + point.setting);
      }
    }
  }

  /**
   * That of a generator of which only the rated output is known, by duty from 0 to 1: rated output
   * times duty.
   *
   * @param milligramsPerHour rated output, 0 to 1e6 mg/h
   * @throws IllegalArgumentException when the output is not a number or out of bounds
   */
  public static OutputCurve rated(double milligramsPerHour) {
    return new OutputCurve(List.of(new Point(0, 0), new Point(1, milligramsPerHour)));
  }

  /**
   * What it makes at a setting, mg/h.
   *
   * @param setting within the curve's first and last
   * @throws IllegalArgumentException when the setting is not a number or beyond the curve
   */
  public double milligramsPerHour(double setting) {
    Point first = points.get(0);
    Point last = points.get(points.size() - 1);
    Bounds.within("setting", setting, first.setting, last.setting);
    int above = 1;
    while (points.get(above).setting < setting) {
      above++;
    }
    Point low = points.get(above - 1);
    Point high = points.get(above);
    double share = (setting - low.setting) / (high.setting - low.setting);
    return low.milligramsPerHour + share * (high.milligramsPerHour - low.milligramsPerHour);
  }

  /**
   * The lowest setting at which it makes so much.
   *
   * @param milligramsPerHour within the curve's first and last output
   * @throws IllegalArgumentException when the output is not a number or beyond the curve
   */
  public double setting(double milligramsPerHour) {
    Point first = points.get(0);
    Point last = points.get(points.size() - 1);
    Bounds.within(
        "output in mg/h", milligramsPerHour, first.milligramsPerHour, last.milligramsPerHour);
    if (milligramsPerHour <= first.milligramsPerHour) {
      return first.setting;
    }
    int above = 1;
    while (points.get(above).milligramsPerHour < milligramsPerHour) {
      above++;
    }
    Point low = points.get(above - 1);
    Point high = points.get(above);
    double share =
        (milligramsPerHour - low.milligramsPerHour)
            / (high.milligramsPerHour - low.milligramsPerHour);
    return low.setting + share * (high.setting - low.setting);
  }

  /**
   * What it puts into each litre of water in a day, mg/(L d): makers and keepers compare doses by
   * it.
   *
   * @param milligramsPerHour while it runs, 0 to 1e6 mg/h
   * @param hoursPerDay that it runs, 0 to 24 h
   * @param litres water of the tank, 1 to 1e9 L
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double milligramsPerLitreAndDay(
      double milligramsPerHour, double hoursPerDay, double litres) {
    return Bounds.within("output in mg/h", milligramsPerHour, 0, MAX_MILLIGRAMS_PER_HOUR)
        * Bounds.within("hours a day", hoursPerDay, 0, 24)
        / Bounds.within("water in L", litres, 1, 1e9);
  }
}
