package io.github.tidewarden.mqtt;

import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;

import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;

class InboxTest {
  private static final String OPERATE = "tidewarden/harbour-lab/operate";
  private static final Instant EVENING = Instant.parse("2026-11-20T22:00:00Z");

  private long monoNanos = 1_000;
  private Instant wall = EVENING;
  private int wakes;
  private final List<Delivery> refused = new ArrayList<>();
  private final Inbox inbox =
      new Inbox(OPERATE, () -> wall, () -> monoNanos, () -> wakes++, refused::add);

  private void arrive(String topic, String payload) {
    inbox.arrived(topic, payload.getBytes(UTF_8), false, null, null);
  }

  private static List<String> payloads(Inbox.Batch batch) {
    return batch.deliveries().stream().map(d -> new String(d.payload(), UTF_8)).toList();
  }

  @Test
  void handsOutInOrderOfArrivalOverAllTopicsWithNumberAndBothClocks() {
    arrive("a", "1");
    monoNanos = 2_000;
    wall = EVENING.plusSeconds(1);
    arrive("b", "2");
    arrive("a", "3");

    Inbox.Batch batch = inbox.drain();
    assertThat(payloads(batch)).containsExactly("1", "2", "3");
    assertThat(batch.deliveries().stream().map(Delivery::number)).containsExactly(1L, 2L, 3L);
    assertThat(batch.deliveries().get(0).wall()).isEqualTo(EVENING);
    assertThat(batch.deliveries().get(0).monoNanos()).isEqualTo(1_000);
    assertThat(batch.deliveries().get(1).wall()).isEqualTo(EVENING.plusSeconds(1));
    assertThat(batch.deliveries().get(1).monoNanos()).isEqualTo(2_000);
    assertThat(batch.overflowed()).isEmpty();
    assertThat(wakes).isEqualTo(3);
  }

  @Test
  void whatWasDrainedIsGoneAndTheNumbersGoOn() {
    arrive("a", "1");
    inbox.drain();
    assertThat(inbox.drain().deliveries()).isEmpty();
    arrive("a", "2");
    assertThat(inbox.drain().deliveries().get(0).number()).isEqualTo(2);
  }

  @Test
  void equalReadingsAreNotMerged() {
    for (int i = 0; i < 5; i++) {
      arrive("a", "320");
    }
    assertThat(payloads(inbox.drain())).hasSize(5).containsOnly("320");
  }

  @Test
  void keepsTheFirst64OfATopicMarksItAndLeavesOtherTopicsAlone() {
    for (int i = 1; i <= 65; i++) {
      arrive("a", "a" + i);
    }
    arrive("b", "b1");

    Inbox.Batch batch = inbox.drain();
    assertThat(payloads(batch))
        .containsExactlyElementsOf(
            IntStream.rangeClosed(1, 65).mapToObj(i -> i < 65 ? "a" + i : "b1").toList());
    assertThat(batch.overflowed()).containsExactly("a");

    arrive("a", "a66");
    Inbox.Batch next = inbox.drain();
    assertThat(payloads(next)).containsExactly("a66");
    assertThat(next.overflowed()).isEmpty();
  }

  @Test
  void exactly64DoNotOverflow() {
    for (int i = 0; i < Inbox.MOST_PER_TOPIC; i++) {
      arrive("a", "x");
    }
    assertThat(inbox.drain().overflowed()).isEmpty();
  }

  @Test
  void takesAPayloadOf64KiBAndMarksTheTopicOfALargerOne() {
    inbox.arrived("a", new byte[Inbox.LARGEST_PAYLOAD], false, null, null);
    inbox.arrived("b", new byte[Inbox.LARGEST_PAYLOAD + 1], false, null, null);
    Inbox.Batch batch = inbox.drain();
    assertThat(batch.deliveries()).hasSize(1);
    assertThat(batch.overflowed()).containsExactly("b");
  }

  @Test
  void oneTopicHoldsNoMoreThanItsBytes() {
    for (int i = 0; i < 3; i++) {
      inbox.arrived("a", new byte[Inbox.LARGEST_PAYLOAD], false, null, null);
    }
    Inbox.Batch batch = inbox.drain();
    assertThat(batch.deliveries()).hasSize(Inbox.MOST_BYTES_PER_TOPIC / Inbox.LARGEST_PAYLOAD);
    assertThat(batch.overflowed()).containsExactly("a");
  }

  @Test
  void allTopicsTogetherHoldNoMoreThanTheirBytes() {
    int fits = Inbox.MOST_BYTES / Inbox.LARGEST_PAYLOAD;
    for (int i = 0; i < fits + 1; i++) {
      inbox.arrived("t" + i, new byte[Inbox.LARGEST_PAYLOAD], false, null, null);
    }
    Inbox.Batch batch = inbox.drain();
    assertThat(batch.deliveries()).hasSize(fits);
    assertThat(batch.overflowed()).containsExactly("t" + fits);
    arrive("t" + fits, "again");
    assertThat(payloads(inbox.drain())).containsExactly("again");
  }

  @Test
  void dropsAndCountsWhatIsRetainedWithoutWakingOrMarking() {
    inbox.arrived("a", "320".getBytes(UTF_8), true, null, null);
    Inbox.Batch batch = inbox.drain();
    assertThat(batch.deliveries()).isEmpty();
    assertThat(batch.overflowed()).isEmpty();
    assertThat(inbox.retainedDropped()).isEqualTo(1);
    assertThat(wakes).isZero();
  }

  @Test
  void tellsTheSenderOfARequestThatWasRetained() {
    inbox.arrived(OPERATE, "reset".getBytes(UTF_8), true, "answer/here", new byte[] {7});
    assertThat(inbox.drain().deliveries()).isEmpty();
    assertThat(refused).hasSize(1);
    assertThat(refused.get(0).number()).isZero();
    assertThat(refused.get(0).retained()).isTrue();
    assertThat(refused.get(0).responseTopic()).isEqualTo("answer/here");
    assertThat(refused.get(0).correlation()).containsExactly(7);
  }

  @Test
  void tellsTheSenderOfARequestThatFoundNoRoom() {
    for (int i = 0; i < Inbox.MOST_PER_TOPIC + 2; i++) {
      arrive(OPERATE, "request " + i);
    }
    assertThat(inbox.drain().deliveries()).hasSize(Inbox.MOST_PER_TOPIC);
    assertThat(refused.stream().map(d -> new String(d.payload(), UTF_8)))
        .containsExactly("request 64", "request 65");
  }

  @Test
  void neverLosesADeliveryUnmarkedWhateverArrives() {
    SplittableRandom random = new SplittableRandom(20261120);
    long accepted = 0;
    for (int round = 0; round < 200; round++) {
      int[] sent = new int[4];
      for (int i = random.nextInt(300); i > 0; i--) {
        int topic = random.nextInt(4);
        sent[topic]++;
        inbox.arrived("t" + topic, new byte[random.nextInt(100)], false, null, null);
      }
      Inbox.Batch batch = inbox.drain();
      for (Delivery delivery : batch.deliveries()) {
        assertThat(delivery.number()).isEqualTo(++accepted);
      }
      for (int topic = 0; topic < 4; topic++) {
        String name = "t" + topic;
        long got = batch.deliveries().stream().filter(d -> d.topic().equals(name)).count();
        assertThat(got).isEqualTo(Math.min(sent[topic], Inbox.MOST_PER_TOPIC));
        assertThat(batch.overflowed().contains(name)).isEqualTo(got < sent[topic]);
      }
    }
  }
}
