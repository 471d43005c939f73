using System.Security.Cryptography;
using Recipes.Problems;

namespace Recipes.Hosting.Trust;

/// <summary>
/// A public key that approvals are checked with: ECDSA on the curve P-256 (FIPS 186-5), kept as SubjectPublicKeyInfo in PEM (RFC 5480, RFC 7468).
/// </summary>
/// <param name="Name">What people call it.</param>
/// <param name="Sha256">Of the SubjectPublicKeyInfo's DER bytes, lower-case hex: what a lock file names the key by.</param>
/// <param name="Der">The SubjectPublicKeyInfo.</param>
public sealed record PublicKey(string Name, string Sha256, ReadOnlyMemory<byte> Der)
{
    private const string P256 = "1.2.840.10045.3.1.7";

    /// <summary>Reads a PEM text that holds exactly one public key.</summary>
    /// <exception cref="ProblemException">R6104: it holds something else.</exception>
    public static PublicKey FromPem(string name, string pem, Place where)
    {
        try
        {
            var fields = PemEncoding.Find(pem);
            if (pem[fields.Label] == "PUBLIC KEY" && string.IsNullOrWhiteSpace(pem[..fields.Location.Start] + pem[fields.Location.End..]))
            {
                using var ecdsa = ECDsa.Create();
                ecdsa.ImportSubjectPublicKeyInfo(Convert.FromBase64String(pem[fields.Base64Data]), out _);
                return Of(name, ecdsa);
            }
        }
        catch (Exception e) when (e is ArgumentException or FormatException or CryptographicException)
        {
            throw Bad(where, e);
        }

        throw Bad(where);
    }

    /// <summary>The public half of a key.</summary>
    /// <exception cref="CryptographicException">It is on another curve.</exception>
    internal static PublicKey Of(string name, ECDsa ecdsa)
    {
        // Platforms name the curve differently; its size and the identifier in the encoding are the same everywhere.
        byte[] der = ecdsa.ExportSubjectPublicKeyInfo();
        byte[] curve = ObjectIdentifier(P256);
        return ecdsa.KeySize == 256 && der.AsSpan().IndexOf(curve) >= 0
            ? new PublicKey(name, Convert.ToHexStringLower(SHA256.HashData(der)), der)
            : throw new CryptographicException("The key is on another curve than P-256.");
    }

    /// <summary>True where the signature (ASN.1 DER of r and s, SHA-256) is this key's over these bytes.</summary>
    public bool Verifies(ReadOnlySpan<byte> text, ReadOnlySpan<byte> signature)
    {
        using var ecdsa = ECDsa.Create();
        ecdsa.ImportSubjectPublicKeyInfo(Der.Span, out _);
        return ecdsa.VerifyData(text, signature, HashAlgorithmName.SHA256, DSASignatureFormat.Rfc3279DerSequence);
    }

    private static byte[] ObjectIdentifier(string oid)
    {
        var writer = new System.Formats.Asn1.AsnWriter(System.Formats.Asn1.AsnEncodingRules.DER);
        writer.WriteObjectIdentifier(oid);
        return writer.Encode();
    }

    private static ProblemException Bad(Place where, Exception? cause = null) => new(
        Codes.BadKey, "The file holds no public key of ECDSA P-256 in PEM.",
        "Copy the NAME.pub.pem that 'recipes keys new' wrote, whole and alone. A private key never leaves its owner.", where, cause);
}
