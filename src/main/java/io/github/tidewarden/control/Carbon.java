package io.github.tidewarden.control;

import java.util.Arrays;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Activated carbon that takes up what ozone leaves behind; it is used up by the hours that ozone
 * ran.
 */
public enum Carbon {
  /** On the air that leaves the skimmer's cup: what it lets through gets into the room. */
  OFF_GAS("off-gas"),
  /** On the water that leaves the skimmer: what it lets through gets to the animals. */
  EFFLUENT("effluent");

  private final String word;

  Carbon(String word) {
    this.word = word;
  }

  /** The word of configuration, command line and records. */
  public String word() {
    return word;
  }

  /** The name of what it stops and of its notice; also the key under {@code without}. */
  public String guard() {
    return "carbon-" + word;
  }

  static @Nullable Carbon named(String word) {
    return Arrays.stream(values())
        .filter(carbon -> carbon.word.equals(word))
        .findFirst()
        .orElse(null);
  }

  static List<String> words() {
    return Arrays.stream(values()).map(Carbon::word).toList();
  }
}
