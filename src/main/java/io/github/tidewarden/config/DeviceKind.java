package io.github.tidewarden.config;

import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.quantity.UnitCode;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * How a kind of device is spoken to.
 *
 * @param sendOn payload that makes it run
 * @param sendOff payload that puts it to rest
 * @param dropOutSeconds when it goes to rest by itself
 * @param report how it reports its state; null when it does not
 */
record DeviceKind(String sendOn, String sendOff, int dropOutSeconds, @Nullable Report report) {

  /** A device's report of its own state. */
  record Report(String pointer, String on, String off, long withinNanos) {}

  private static final Pattern PLACEHOLDER = Pattern.compile("\\{[A-Za-z_-]*}");
  private static final int MAX_PAYLOAD = 1024;
  private static final Limits WITHIN = Limits.between(UnitCode.SECONDS, 1, 60);

  /**
   * Reads one kind.
   *
   * @param longestDropOutSeconds the site's hard limit
   */
  static DeviceKind read(Section section, int longestDropOutSeconds) {
    String on = payload(section, "send-on", true);
    String off = payload(section, "send-off", false);
    if (!on.isEmpty() && on.equals(off)) {
      section.complain(
          section.place("send-off"), "`send-off` is the same as `send-on`", "two payloads");
    }
    return new DeviceKind(on, off, dropOut(section, longestDropOutSeconds), report(section));
  }

  private static String payload(Section section, String key, boolean lease) {
    String example = lease ? "'on {seconds}'" : "'off'";
    String payload = section.text(key, example);
    if (payload.length() > MAX_PAYLOAD) {
      section.complain(section.place(key), "`" + key + "` is too long", "at most " + MAX_PAYLOAD);
    }
    Matcher placeholder = PLACEHOLDER.matcher(payload);
    while (placeholder.find()) {
      boolean known = lease && placeholder.group().equals(ActuatorSpec.SECONDS);
      if (!known && !placeholder.group().equals("{}")) {
        section.complain(
            section.place(key),
            "`" + key + "` holds " + placeholder.group(),
            lease ? "only " + ActuatorSpec.SECONDS + " is filled in" : "nothing is filled in here");
      }
    }
    return payload;
  }

  private static int dropOut(Section section, int longestSeconds) {
    Limits compiledIn =
        Limits.between(
            UnitCode.SECONDS, HardLimits.MIN_DROP_OUT_SECONDS, HardLimits.MAX_DROP_OUT_SECONDS);
    int seconds = section.wholeSeconds("drop-out", compiledIn, "30 s", 0);
    if (seconds > longestSeconds) {
      section.complain(
          section.place("drop-out"),
          "`drop-out` of " + seconds + " s is over the hard limit `longest-drop-out`",
          "at most " + longestSeconds + " s");
    }
    return seconds;
  }

  private static @Nullable Report report(Section kind) {
    Section section = kind.optionalSection("confirm");
    if (section == null) {
      return null;
    }
    String pointer = Topics.pointer(section, "pointer");
    String on = section.text("on", "\"true\"");
    String off = section.text("off", "\"false\"");
    if (!on.isEmpty() && on.equals(off)) {
      section.complain(section.place("off"), "`off` is the same as `on`", "two texts");
    }
    return new Report(pointer, on, off, section.nanos("within", WITHIN, "5 s", 0));
  }
}
