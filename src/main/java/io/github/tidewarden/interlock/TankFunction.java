package io.github.tidewarden.interlock;

/** What a tank can be given and an interlock can stop. */
public enum TankFunction {
  /** Ozone through the foam skimmer. */
  OZONE("ozone"),
  /** The daily exchange of water. */
  EXCHANGE("exchange"),
  /** Fresh water against evaporation. */
  TOP_OFF("top-off");

  private final String word;

  TankFunction(String word) {
    this.word = word;
  }

  /** The word used in configurations and records. */
  public String word() {
    return word;
  }
}
