package io.github.tidewarden.mqtt;

/**
 * The topics that a site calls its own, all below {@code tidewarden/{site}/}.
 *
 * @param site the site's name; a daemon that only watches takes a name of its own
 */
public record SiteTopics(String site) {

  /**
   * Checks the name.
   *
   * @throws IllegalArgumentException if the name is not one plain topic level
   */
  public SiteTopics {
    if (!site.matches("[A-Za-z0-9][A-Za-z0-9._-]{0,63}")) {
      throw new IllegalArgumentException("a site's name must be one plain topic level: " + site);
    }
  }

  /** Retained: whether the daemon runs and how it fares; also the last will. */
  public String status() {
    return root() + "status";
  }

  /** Where the link hears itself. */
  public String echo() {
    return root() + "echo";
  }

  /** Requests of keepers. */
  public String operate() {
    return root() + "operate";
  }

  /** Retained: number and hash of the newest audit record. */
  public String auditHead() {
    return root() + "audit/head";
  }

  /** Retained: a tank's state. */
  public String state(String tank) {
    return root() + tank + "/state";
  }

  /** Retained while it stands: a trip. */
  public String trip(String tank, String interlock) {
    return root() + tank + "/trip/" + interlock;
  }

  /** Where one request is answered. */
  public String answer(String request) {
    return root() + "answer/" + request;
  }

  /** Any other topic of the site's own: {@code tidewarden/{site}/} and this. */
  public String below(String rest) {
    return root() + rest;
  }

  /** Whether a topic is one of the site's own, and plain. */
  public boolean owns(String topic) {
    return topic.startsWith(root()) && topic.length() > root().length() && isPlain(topic);
  }

  /** Whether an answer may be published on a topic. */
  public boolean mayAnswerOn(String topic) {
    return topic.startsWith(answer("")) && topic.length() > answer("").length() && isPlain(topic);
  }

  private String root() {
    return "tidewarden/" + site + "/";
  }

  private static boolean isPlain(String topic) {
    return topic.length() <= 256 && topic.chars().noneMatch(c -> c == '+' || c == '#' || c == 0);
  }
}
