package io.github.tidewarden.audit;

import static java.nio.charset.StandardCharsets.US_ASCII;

import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;

/** SHA-256 (FIPS 180-4) as the chain uses it: hashes are 64 lower-case hex digits. */
final class Hash {

  /** What stands before the first record of all. */
  static final String NONE = "0".repeat(64);

  private Hash() {}

  /** SHA-256 of {@code bytes}. */
  static String of(byte[] bytes) {
    return HexFormat.of().formatHex(digest().digest(bytes));
  }

  /**
   * A record's hash: over the 64 hex digits of the record before it, then the line's bytes before
   * its last {@code ,"hash":}.
   */
  static String ofRecord(String previousHash, byte[] line, int bodyLength) {
    MessageDigest digest = digest();
    digest.update(previousHash.getBytes(US_ASCII));
    digest.update(line, 0, bodyLength);
    return HexFormat.of().formatHex(digest.digest());
  }

  /** Whether {@code text} has the form of a hash. */
  static boolean isHash(String text) {
    return text.length() == 64
        && text.chars().allMatch(c -> (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f'));
  }

  private static MessageDigest digest() {
    try {
      return MessageDigest.getInstance("SHA-256");
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException("every Java platform has SHA-256", e);
    }
  }
}
