package io.github.tidewarden.config;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/** Every complaint about one file, gathered while it is read. */
final class Complaints {
  private final List<Complaint> all = new ArrayList<>();

  void add(Place place, String wrong, String right) {
    all.add(new Complaint(place.line(), place.column(), wrong, right));
  }

  boolean none() {
    return all.isEmpty();
  }

  /** By their place in the file. */
  List<Complaint> sorted() {
    List<Complaint> sorted = new ArrayList<>(all);
    sorted.sort(Comparator.comparingInt(Complaint::line).thenComparingInt(Complaint::column));
    return List.copyOf(sorted);
  }
}
