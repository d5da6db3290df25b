package io.github.tidewarden.mqtt;

import java.nio.charset.StandardCharsets;

/**
 * A connection hearing itself through the broker: the only proof that the broker passes messages
 * on.
 *
 * <p>The echo is retained and begins with the daemon's mark. Not every broker says so when it gives
 * a client id to someone else (Mosquitto 2.0.11 only closes the connection); a daemon that connects
 * again and finds another mark in the place of its own has been taken over. On a later connection
 * it therefore looks first, and leaves its mark again only when its own echo has come back, since
 * what was retained comes before that.
 *
 * <p>After the mark stands when it was sent, so that an echo also tells until when the broker was
 * certainly awake. Not safe for use by several threads at once.
 */
final class Echo {

  /** What a message on the echo topic means. */
  enum Meaning {
    /** Our own, passed on just now. */
    ALIVE,
    /** Another daemon has been at the broker since we were. */
    TAKEN_OVER,
    /** Nothing to us. */
    NOTHING
  }

  private final LinkTiming timing;
  private final String topic;
  private final Identity identity;
  private boolean heard;
  private boolean sent;
  private long sentNanos;
  private long heardNanos;
  private long provenNanos;

  Echo(LinkTiming timing, String topic, Identity identity) {
    this.timing = timing;
    this.topic = topic;
    this.identity = identity;
  }

  String topic() {
    return topic;
  }

  /** The time from which an echo may be missed. */
  void connected(long nowNanos) {
    heardNanos = nowNanos;
    provenNanos = nowNanos;
  }

  /** The next one to send. */
  Outgoing next(long nowNanos) {
    sent = true;
    sentNanos = nowNanos;
    boolean retained = !identity.leaving() && (heard || !identity.leftItsMark());
    byte[] payload = (identity.mark() + " " + nowNanos).getBytes(StandardCharsets.UTF_8);
    return Outgoing.echo(new Note(topic, payload, retained), nowNanos);
  }

  /** Whether it is time for the next one; the first is sent when the subscription stands. */
  boolean isDue(long nowNanos) {
    return sent && nowNanos - sentNanos >= timing.echoEvery().toNanos();
  }

  /** Whether none has come back for too long. */
  boolean isMissing(long nowNanos) {
    return nowNanos - heardNanos >= timing.echo().toNanos();
  }

  /** The time of sending of the newest echo that has come back. */
  long provenNanos() {
    return provenNanos;
  }

  /** Takes in what has arrived on the echo topic. */
  Meaning arrived(byte[] payload, boolean retained, long nowNanos) {
    String text = new String(payload, StandardCharsets.UTF_8);
    boolean own = text.startsWith(identity.mark() + " ");
    if (retained) {
      return !own && identity.leftItsMark() ? Meaning.TAKEN_OVER : Meaning.NOTHING;
    }
    if (!own) {
      return Meaning.NOTHING;
    }
    heard = true;
    heardNanos = nowNanos;
    prove(text.substring(identity.mark().length() + 1));
    return Meaning.ALIVE;
  }

  private void prove(String sentAt) {
    try {
      long claimed = Long.parseLong(sentAt);
      if (claimed - provenNanos > 0 && claimed - sentNanos <= 0) {
        provenNanos = claimed;
      }
    } catch (NumberFormatException forged) {
      // Our mark, but not our words: proves nothing.
    }
  }
}
