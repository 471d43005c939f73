namespace Recipes.Hosting.Words;

/// <summary>"Did you mean": the known name nearest to a mistyped one.</summary>
public static class Suggestion
{
    private const int MostListed = 16;

    /// <summary>The nearest name within a third of its letters, or null.</summary>
    public static string? For(string typed, IEnumerable<string> known)
    {
        ArgumentNullException.ThrowIfNull(typed);
        ArgumentNullException.ThrowIfNull(known);
        return known
            .Select(name => (name, distance: Distance(typed.ToLowerInvariant(), name.ToLowerInvariant())))
            .Where(pair => pair.distance <= Math.Max(1, pair.name.Length / 3))
            .OrderBy(pair => pair.distance).ThenByDescending(pair => pair.name.Length).ThenBy(pair => pair.name, StringComparer.Ordinal)
            .Select(pair => pair.name)
            .FirstOrDefault();
    }

    /// <summary>A hint sentence: the nearest name, else all of them where they are few.</summary>
    public static string Hint(string typed, IReadOnlyCollection<string> known) =>
        For(typed, known) is { } name ? DidYouMean(name)
        : known.Count is > 0 and <= MostListed ? $"There are: {string.Join(", ", known)}."
        : "";

    /// <summary>The sentence that names it.</summary>
    public static string DidYouMean(string name) => $"Did you mean '{name}'?";

    /// <summary>A sentence that lists names, the command that does where they are many, or nothing where there are none.</summary>
    public static string Listed(string what, IReadOnlyCollection<string> names, string command) => names.Count switch
    {
        0 => "",
        <= MostListed => $"{what}: {string.Join(", ", names)}.",
        _ => $"{what}: '{command}' lists them.",
    };

    // Levenshtein distance: insertions, deletions and substitutions.
    private static int Distance(string a, string b)
    {
        if (a.Length > 64 || b.Length > 64)
        {
            return int.MaxValue;
        }

        int[] row = [.. Enumerable.Range(0, b.Length + 1)];
        for (int i = 1; i <= a.Length; i++)
        {
            int diagonal = row[0];
            row[0] = i;
            for (int j = 1; j <= b.Length; j++)
            {
                int above = row[j];
                row[j] = Math.Min(Math.Min(row[j] + 1, row[j - 1] + 1), diagonal + (a[i - 1] == b[j - 1] ? 0 : 1));
                diagonal = above;
            }
        }

        return row[b.Length];
    }
}
