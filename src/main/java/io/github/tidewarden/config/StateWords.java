package io.github.tidewarden.config;

import io.github.tidewarden.sensing.Measure;

/** The two words for the states of a contact. */
final class StateWords {
  private StateWords() {}

  /** The word for 1, then the word for 0. */
  static String[] of(Measure contact) {
    return new String[] {contact.told(1), contact.told(0)};
  }
}
