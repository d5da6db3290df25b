package io.github.tidewarden.config;

import java.util.ArrayList;
import java.util.List;

/** What is shared while one file is read: its complaints, and its sections for the last look. */
final class Binding {
  private final Complaints complaints = new Complaints();
  private final List<Section> sections = new ArrayList<>();

  Complaints complaints() {
    return complaints;
  }

  void opened(Section section) {
    sections.add(section);
  }

  /** Complains about every key that is missing or that nobody asked for. */
  void finish() {
    sections.forEach(Section::complainAboutKeys);
  }
}
