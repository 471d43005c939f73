using System.Security.Cryptography;
using System.Text;

namespace Recipes.Checking;

/// <summary>Who may use an entry of the allow-list.</summary>
public enum Use
{
    /// <summary>Nobody: it isn't on the list.</summary>
    Nobody,

    /// <summary>Only code that the compiler makes inside <c>&lt;PrivateImplementationDetails&gt;</c>.</summary>
    Details,

    /// <summary>Only code that the compiler makes: it may stand in metadata, never in source.</summary>
    Compiler,

    /// <summary>The recipe's own source.</summary>
    Recipe,
}

/// <summary>
/// The exact types and members that recipes may use, from <c>allow-list.txt</c>, which states its own format.
/// </summary>
/// <remarks>
/// An entry is known by its documentation comment identifier (ECMA-334, annex D), prefix letter included:
/// <c>T:System.Math</c>, <c>M:System.Math.Abs(System.Double)</c>, <c>F:System.StringComparison.Ordinal</c>. Identifiers
/// are those of original definitions, and properties stand as their accessors, so that the compiler's symbols and bare
/// metadata give the same text.
/// </remarks>
public sealed class AllowList
{
    // One set for each use: unlike a dictionary of our own type, the framework brings sets of texts as machine code.
    private readonly HashSet<string> recipe = new(StringComparer.Ordinal), compiler = new(StringComparer.Ordinal), details = new(StringComparer.Ordinal);

    private AllowList(string text)
    {
        Digest = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text)));
        var assemblies = new HashSet<string>(StringComparer.Ordinal);
        string? type = null;
        int number = 0;
        foreach (string line in text.Split('\n'))
        {
            number++;
            string entry = line.Trim();
            if (entry.Length == 0 || entry[0] == '#' && (entry.Length == 1 || entry[1] == ' '))
            {
                continue;
            }

            var users = Taken(ref entry, "compiler ") ? compiler : Taken(ref entry, "details ") ? details : recipe;
            bool added;
            if (Taken(ref entry, "assembly "))
            {
                added = assemblies.Add(entry);
            }
            else if (Taken(ref entry, "type "))
            {
                type = entry;
                added = Add(users, "T:" + entry);
            }
            else if (type is not null && line[0] == ' ')
            {
                added = Add(users, Taken(ref entry, "field ") ? $"F:{type}.{entry}" : $"M:{type}.{entry}");
            }
            else
            {
                throw new FormatException($"Line {number} of the allow-list can't be read: {line}");
            }

            if (!added)
            {
                throw new FormatException($"Line {number} of the allow-list stands twice: {line}");
            }
        }

        Assemblies = assemblies;
    }

    /// <summary>The list of this build.</summary>
    public static AllowList Current { get; } = new(Embedded());

    /// <summary>SHA-256 of the list's text, in lower-case hex; part of the key of anything kept that was judged by it.</summary>
    public string Digest { get; }

    /// <summary>Simple names of the assemblies that a compiled recipe may refer to.</summary>
    public IReadOnlySet<string> Assemblies { get; }

    /// <summary>All identifiers on the list.</summary>
    public IReadOnlyCollection<string> Entries => [.. recipe, .. compiler, .. details];

    /// <summary>Who may use the type or member of this identifier.</summary>
    public Use Of(string id) => id switch
    {
        _ when recipe.Contains(id) => Use.Recipe,
        _ when compiler.Contains(id) => Use.Compiler,
        _ when details.Contains(id) => Use.Details,
        _ => Use.Nobody,
    };

    /// <summary>Reads a list.</summary>
    /// <exception cref="FormatException">A line can't be read, or stands twice.</exception>
    public static AllowList Parse(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return new AllowList(text.ReplaceLineEndings("\n"));
    }

    private bool Add(HashSet<string> users, string id) => Of(id) == Use.Nobody && users.Add(id);

    private static bool Taken(ref string entry, string word)
    {
        bool taken = entry.StartsWith(word, StringComparison.Ordinal);
        entry = taken ? entry[word.Length..].TrimStart() : entry;
        return taken;
    }

    private static string Embedded()
    {
        using var stream = typeof(AllowList).Assembly.GetManifestResourceStream("allow-list.txt")!;
        using var reader = new StreamReader(stream, Encoding.UTF8);
        return reader.ReadToEnd().ReplaceLineEndings("\n");
    }
}
