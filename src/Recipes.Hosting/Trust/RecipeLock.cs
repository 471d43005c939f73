using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Hosting.Trust;

/// <summary>One signature in a lock file.</summary>
/// <param name="By">Who approved, as they called themselves.</param>
/// <param name="On">The day, UTC, by the clock of their machine.</param>
/// <param name="Cases">What the test cases said: <c>none</c>, or how many passed.</param>
/// <param name="Key">The key, by the hash of its SubjectPublicKeyInfo.</param>
/// <param name="Signature">ASN.1 DER, in base 64.</param>
public sealed record SignedApproval(string By, DateOnly On, string Cases, string Key, string Signature);

/// <summary>
/// A lock file, <c>NAME.lock</c> beside the recipe or <c>NAME.recipes.lock</c> beside the list: the hashes of all that makes it, and who signed them.
/// Plain text with one fact a line, sorted, so that version control shows what an approval changed. docs/approval.md describes it to the byte.
/// </summary>
public sealed partial record RecipeLock
{
    /// <summary>The version of what recipes may count on; an approval under another one doesn't hold.</summary>
    public const int ApiVersion = RecipeSpec.ApiVersion;

    private const long Longest = 256 * 1024;
    private const int MostSignatures = 32;

    /// <summary>The name of the recipe, or of the list.</summary>
    public required string Recipe { get; init; }

    /// <summary>True: it is for a list of recipes.</summary>
    public bool IsList { get; init; }

    /// <summary>The recipe's version, as it states it.</summary>
    public required int Version { get; init; }

    /// <summary>The version of what recipes may count on, at the time.</summary>
    public int Api { get; init; } = ApiVersion;

    /// <summary>The covered files, sorted by name.</summary>
    public required ImmutableArray<LockedFile> Files { get; init; }

    /// <summary>The signatures, oldest first.</summary>
    public ImmutableArray<SignedApproval> Approvals { get; init; } = [];

    /// <summary>The lock file of a recipe's file, or of a list's.</summary>
    public static string PathFor(string file) => file.EndsWith(RecipeList.Ending, StringComparison.Ordinal)
        ? file + ".lock" : Path.ChangeExtension(file, ".lock");

    /// <summary>True where the text is longer than a lock file that is read.</summary>
    internal bool IsTooLong => Encoding.UTF8.GetByteCount(ToString()) > Longest;

    /// <summary>Reads a lock file; null where there is none.</summary>
    /// <exception cref="ProblemException">R6103: it is damaged or of a newer version; with a cause, it can't be read.</exception>
    public static RecipeLock? Read(string path)
    {
        try
        {
            return File.Exists(path) ? Parse(Encoding.UTF8.GetString(OutsideFile.Read(path, Longest, RecipeFiles.FolderOf(path)) ?? []), path) : null;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.ApprovalVoid, $"The lock file can't be read: {e.Message}", "Check its permissions.", new Place(path), e);
        }
    }

    /// <summary>Reads a lock file's text. Only what <see cref="ToString"/> would write is read; line ends may be those of Windows.</summary>
    /// <exception cref="ProblemException">R6103.</exception>
    public static RecipeLock Parse(string text, string path)
    {
        ArgumentNullException.ThrowIfNull(text);
        text = text.Replace("\r\n", "\n", StringComparison.Ordinal);
        string[] blocks = text.TrimEnd('\n').Split("\n\n");
        if (blocks.Length > MostSignatures + 1
            || Head().Match(blocks[0]) is not { Success: true } head
            || !int.TryParse(head.Groups["version"].Value, NumberStyles.None, CultureInfo.InvariantCulture, out int version)
            || !int.TryParse(head.Groups["api"].Value, NumberStyles.None, CultureInfo.InvariantCulture, out int api))
        {
            throw Damaged(path);
        }

        var approvals = ImmutableArray.CreateBuilder<SignedApproval>();
        foreach (string block in blocks.Skip(1))
        {
            var match = Signed().Match(block);
            if (!match.Success
                || !DateOnly.TryParseExact(match.Groups["on"].Value, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var on))
            {
                throw Damaged(path);
            }

            approvals.Add(new SignedApproval(match.Groups["by"].Value, on,
                match.Groups["cases"].Value, match.Groups["key"].Value, match.Groups["signature"].Value));
        }

        var read = new RecipeLock
        {
            Recipe = head.Groups["recipe"].Value,
            IsList = head.Groups["kind"].Value == "list",
            Version = version,
            Api = api,
            Files = [.. head.Groups["hash"].Captures.Zip(head.Groups["file"].Captures, (hash, file) => new LockedFile(file.Value, hash.Value))],
            Approvals = approvals.ToImmutable(),
        };
        // One text for one meaning: nothing can hide in spaces, order or leading zeros.
        return read.ToString() == text ? read : throw Damaged(path);
    }

    /// <summary>What a signature covers: the head, an empty line, and the approval's own lines above its signature; UTF-8, line feeds.</summary>
    public byte[] SignedText(SignedApproval approval)
    {
        ArgumentNullException.ThrowIfNull(approval);
        return Encoding.UTF8.GetBytes($"{HeadText()}\n{Claims(approval)}");
    }

    /// <summary>The lock file's text.</summary>
    public override string ToString() => HeadText() + string.Concat(Approvals.Select(approval => $"\n{Claims(approval)}signature {approval.Signature}\n"));

    private string HeadText()
    {
        var text = new StringBuilder();
        text.Append(CultureInfo.InvariantCulture, $"recipes-lock 1\n{(IsList ? "list" : "recipe")} {Recipe}\nversion {Version}\napi {Api}\n");
        foreach (var file in Files.OrderBy(file => file.Name, StringComparer.Ordinal))
        {
            text.Append(CultureInfo.InvariantCulture, $"file {file.Sha256}  {file.Name}\n");
        }

        return text.ToString();
    }

    private static string Claims(SignedApproval approval) =>
        string.Create(CultureInfo.InvariantCulture, $"by {approval.By}\non {approval.On:yyyy-MM-dd}\ncases {approval.Cases}\nkey {approval.Key}\n");

    private static ProblemException Damaged(string path) => new(
        Codes.ApprovalVoid, "The lock file is damaged, edited, or of a newer version.",
        "Approve the recipe again, or get its lock file again from where it came.", new Place(path));

    [GeneratedRegex("""\Arecipes-lock 1\n(?<kind>recipe|list) (?<recipe>[a-z0-9-]{1,80})\nversion (?<version>[0-9]{1,7})\napi (?<api>[0-9]{1,7})(\nfile (?<hash>[0-9a-f]{64})  (?<file>[^\n\x00-\x1f]{1,300}))+\z""", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture)]
    private static partial Regex Head();

    [GeneratedRegex("""\Aby (?<by>[^\n\x00-\x1f]{1,100})\non (?<on>[0-9]{4}-[0-9]{2}-[0-9]{2})\ncases (?<cases>none|[0-9]{1,6} passed)\nkey (?<key>[0-9a-f]{64})\nsignature (?<signature>[A-Za-z0-9+/=]{40,200})\z""", RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture)]
    private static partial Regex Signed();
}
