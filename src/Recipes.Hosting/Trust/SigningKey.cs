using System.Security.Cryptography;
using System.Text;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Trust;

/// <summary>A key that was made.</summary>
/// <param name="Key">Its public half.</param>
/// <param name="PrivateFile">The file that stays with its owner.</param>
/// <param name="PublicFile">The file that the house gets.</param>
public sealed record MadeKey(PublicKey Key, string PrivateFile, string PublicFile);

/// <summary>
/// The user's own key for approvals: <c>keys/NAME.pem</c> in the config folder, PKCS#8 in PEM, readable by its owner only, and
/// <c>keys/NAME.pub.pem</c>, which the house gets.
/// </summary>
public sealed class SigningKey
{
    private const long Longest = 16 * 1024;
    private readonly string privatePem;

    private SigningKey(PublicKey key, string privatePem) => (Public, this.privatePem) = (key, privatePem);

    /// <summary>The public half.</summary>
    public PublicKey Public { get; }

    private static string? Folder => UserFolders.Config is { } config ? Path.Combine(config, "keys") : null;

    /// <summary>Makes a key; one that exists is never replaced.</summary>
    /// <exception cref="ProblemException">R1001 no such name is possible; R8001 it exists; R8002 it can't be written.</exception>
    public static MadeKey Create(string name) =>
        Create(name, Folder ?? throw new ProblemException(Codes.OutputUnwritable, "There is no home folder to keep a key in.", "Set HOME."));

    internal static MadeKey Create(string name, string folder)
    {
        RefuseName(name);
        using var ecdsa = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        string secret = Path.Combine(folder, name + ".pem"), open = Path.Combine(folder, name + ".pub.pem");
        foreach (string file in (string[])[secret, open])
        {
            if (Path.Exists(file))
            {
                throw new ProblemException(Codes.OutputExists, $"{file} exists already.",
                    "A key is never replaced: give the new one another name.", new Place(file));
            }
        }

        try
        {
            OwnerOnly.CreateFolder(folder);
            using (var stream = OwnerOnly.CreateFile(secret))
            {
                stream.Write(Encoding.ASCII.GetBytes(ecdsa.ExportPkcs8PrivateKeyPem() + "\n"));
                stream.Flush(flushToDisk: true);
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.OutputUnwritable, $"{secret} can't be written: {e.Message}",
                "Check the folder and its permissions.", new Place(secret), e);
        }

        AtomicFile.Write(open, stream => stream.Write(Encoding.ASCII.GetBytes(ecdsa.ExportSubjectPublicKeyInfoPem() + "\n")), replace: false);
        return new MadeKey(PublicKey.Of(name, ecdsa), secret, open);
    }

    /// <summary>The names of the user's keys.</summary>
    public static IReadOnlyList<string> Names() => Names(Folder);

    private static IReadOnlyList<string> Names(string? folder) => folder is not null && Directory.Exists(folder)
        ? [.. Directory.EnumerateFiles(folder, "*.pem").Select(file => Path.GetFileName(file)[..^4]).Where(PlainName.IsOfFile).Order(StringComparer.Ordinal)]
        : [];

    /// <summary>Reads the user's key of that name; without a name, the only one.</summary>
    /// <exception cref="ProblemException">R6106 there is none, or several; R6104 it can't be used, or others may read it.</exception>
    public static SigningKey Find(string? name) => Find(name, Folder);

    internal static SigningKey Find(string? name, string? folder)
    {
        var names = Names(folder);
        if (name is null)
        {
            name = names.Count switch
            {
                1 => names[0],
                0 => throw new ProblemException(Codes.UnknownKey, "You have no key to approve with.",
                    "Make one with 'recipes keys new', and have the house list its public half."),
                _ => throw new ProblemException(Codes.UnknownKey, $"You have several keys: {string.Join(", ", names)}.",
                    $"Say which: --key {names[0]}, for instance."),
            };
        }
        else if (!names.Contains(name))
        {
            throw new ProblemException(Codes.UnknownKey, $"You have no key '{CleanText.Line(name, 80)}'.", Suggestion.Hint(name, [.. names]));
        }

        string file = Path.Combine(folder!, name + ".pem");
        var where = new Place(file);
        if (!OwnerOnly.Is(file))
        {
            throw new ProblemException(Codes.BadKey, "Others than its owner may read or write the private key, so it may no longer be only yours.",
                "Make a new one and have the house revoke this one; or, if nobody else ever saw it, take the permission away: chmod 600.", where);
        }

        try
        {
            string pem = Encoding.ASCII.GetString(OutsideFile.Read(file, Longest) ?? []);
            using var ecdsa = ECDsa.Create();
            ecdsa.ImportFromPem(pem);
            _ = ecdsa.SignData([], HashAlgorithmName.SHA256);
            return new SigningKey(PublicKey.Of(name, ecdsa), pem);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException or CryptographicException)
        {
            throw new ProblemException(Codes.BadKey, "The file holds no private key of ECDSA P-256 in PEM.",
                "Put the key's backup back, or make a new one with 'recipes keys new' and have the house revoke this one.", where, e);
        }
    }

    /// <summary>Signs bytes: ASN.1 DER of r and s, SHA-256.</summary>
    public byte[] Sign(ReadOnlySpan<byte> text)
    {
        using var ecdsa = ECDsa.Create();
        ecdsa.ImportFromPem(privatePem);
        return ecdsa.SignData(text, HashAlgorithmName.SHA256, DSASignatureFormat.Rfc3279DerSequence);
    }

    private static void RefuseName(string name)
    {
        if (!PlainName.IsOfFile(name))
        {
            throw new ProblemException(Codes.BadUsage, $"A key can't be called '{CleanText.Line(name, 80)}'.", "Use small letters, digits and dashes.");
        }
    }
}
