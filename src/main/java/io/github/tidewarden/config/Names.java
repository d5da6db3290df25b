package io.github.tidewarden.config;

import java.util.regex.Pattern;

/** Names that the keeper gives; they become levels of topics and words of records. */
final class Names {
  private static final Pattern NAME = Pattern.compile("[a-z0-9]([a-z0-9-]{0,38}[a-z0-9])?");

  private Names() {}

  /** Complains about a name that cannot be one. */
  static void check(Section section, String name, Place place) {
    if (!name.isEmpty() && !NAME.matcher(name).matches()) {
      section.complain(
          place,
          "the name \"" + name + "\" cannot be used",
          "lower-case letters, digits and hyphens between them, at most 40");
    }
  }
}
