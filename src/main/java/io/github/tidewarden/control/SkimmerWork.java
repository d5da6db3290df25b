package io.github.tidewarden.control;

import java.util.Arrays;
import java.util.List;
import org.jspecify.annotations.Nullable;

/** What a keeper does to a skimmer now and then. */
public enum SkimmerWork {
  /** Neck and body were cleaned, and the air inlet. */
  CLEANED("cleaned", "clean-after", "skimmer-clean"),
  /** Water level and air were set anew. */
  TUNED("tuned", "tune-after", "skimmer-tune"),
  /** The cup was emptied. */
  EMPTIED("emptied", "empty-after", "skimmer-empty");

  private final String word;
  private final String key;
  private final String notice;

  SkimmerWork(String word, String key, String notice) {
    this.word = word;
    this.key = key;
    this.notice = notice;
  }

  /** The word of command line and records. */
  public String word() {
    return word;
  }

  /** The key that says after how long it is due. */
  public String key() {
    return key;
  }

  /** The name of its reminder. */
  public String notice() {
    return notice;
  }

  static @Nullable SkimmerWork named(String word) {
    return Arrays.stream(values()).filter(work -> work.word.equals(word)).findFirst().orElse(null);
  }

  static List<String> words() {
    return Arrays.stream(values()).map(SkimmerWork::word).toList();
  }
}
