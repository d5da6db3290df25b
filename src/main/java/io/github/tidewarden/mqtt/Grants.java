package io.github.tidewarden.mqtt;

import java.util.Arrays;
import java.util.Collections;
import java.util.Set;
import java.util.TreeSet;
import org.eclipse.paho.mqttv5.common.MqttSubscription;
import org.jspecify.annotations.Nullable;

/**
 * What a broker answered to one subscription.
 *
 * @param refused filters that were not granted with QoS 1
 * @param why the reason code of the first of them; empty when there is none
 */
record Grants(Set<String> refused, String why) {
  private static final int NO_ANSWER = 0x80;

  Grants {
    refused = Collections.unmodifiableSortedSet(new TreeSet<>(refused));
  }

  /** Reads the codes, one for each filter in its order; one that is missing is a refusal. */
  static Grants of(MqttSubscription[] asked, int @Nullable [] codes) {
    Set<String> refused = new TreeSet<>();
    String why = "";
    for (int i = 0; i < asked.length; i++) {
      int code = codes != null && i < codes.length ? codes[i] : NO_ANSWER;
      if (code != PahoClient.QOS) {
        refused.add(asked[i].getTopic());
        why = why.isEmpty() ? Reason.code(code) : why;
      }
    }
    return new Grants(refused, why);
  }

  /** The first of these that was refused; null when none was. */
  @Nullable String missing(String... needed) {
    return Arrays.stream(needed).filter(refused::contains).findFirst().orElse(null);
  }
}
