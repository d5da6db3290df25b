package io.github.tidewarden.config;

import java.util.Comparator;

/**
 * Where something stands in a file.
 *
 * @param line from 1
 * @param column in characters, from 1
 */
record Place(int line, int column) implements Comparable<Place> {

  /** The beginning of the file. */
  static final Place START = new Place(1, 1);

  private static final Comparator<Place> IN_ORDER =
      Comparator.comparingInt(Place::line).thenComparingInt(Place::column);

  @Override
  public int compareTo(Place other) {
    return IN_ORDER.compare(this, other);
  }

  @Override
  public String toString() {
    return line + ":" + column;
  }
}
