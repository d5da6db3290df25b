package io.github.tidewarden.audit;

import static java.nio.charset.StandardCharsets.US_ASCII;
import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

class HashTest {

  /** FIPS 180-4 examples: 24 bits, 448 bits, a million of one letter. */
  @Test
  void isSha256() {
    assertThat(Hash.of("abc".getBytes(US_ASCII)))
        .isEqualTo("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assertThat(
            Hash.of("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq".getBytes(US_ASCII)))
        .isEqualTo("248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    byte[] million = new byte[1_000_000];
    Arrays.fill(million, (byte) 'a');
    assertThat(Hash.of(million))
        .isEqualTo("cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
  }

  /** The empty message, as printed by sha256sum with no input. */
  @Test
  void isSha256OfNothing() {
    assertThat(Hash.of(new byte[0]))
        .isEqualTo("e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  }

  @Test
  void aRecordIsHashedAfterTheHexOfTheOneBefore() {
    byte[] line = "{\"seq\":1,\"hash\":\"x\"}".getBytes(US_ASCII);
    byte[] both = (Hash.NONE + "{\"seq\":1").getBytes(US_ASCII);
    assertThat(Hash.ofRecord(Hash.NONE, line, 8)).isEqualTo(Hash.of(both));
    assertThat(Hash.ofRecord("1".repeat(64), line, 8)).isNotEqualTo(Hash.of(both));
  }

  @Test
  void onlySixtyFourLowerCaseHexDigitsAreAHash() {
    assertThat(Hash.isHash("0123456789abcdef".repeat(4))).isTrue();
    assertThat(Hash.isHash("0123456789abcdeF".repeat(4))).isFalse();
    assertThat(Hash.isHash("0123456789abcdeg".repeat(4))).isFalse();
    assertThat(Hash.isHash("0".repeat(63))).isFalse();
  }
}
