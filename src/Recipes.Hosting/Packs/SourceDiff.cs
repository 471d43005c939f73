using Recipes.Hosting.Words;

namespace Recipes.Hosting.Packs;

/// <summary>What changed between two texts, line by line: a longest common subsequence.</summary>
public static class SourceDiff
{
    private const int Context = 2;
    private const long MostCells = 16_000_000;

    /// <summary>
    /// Lines that begin with <c>- </c>, <c>+ </c> or two spaces for what stays; empty where nothing changed. Far from a change, lines are left out.
    /// Hidden characters stand as <c>\u202E</c>.
    /// </summary>
    public static IReadOnlyList<string> Between(string before, string after)
    {
        string[] old = Lines(before), now = Lines(after);
        int head = 0, tail = 0;
        while (head < old.Length && head < now.Length && old[head] == now[head])
        {
            head++;
        }

        while (tail < old.Length - head && tail < now.Length - head && old[^(tail + 1)] == now[^(tail + 1)])
        {
            tail++;
        }

        string[] a = old[head..^tail], b = now[head..^tail];
        if (a.Length + b.Length == 0)
        {
            return [];
        }

        var all = new List<string>();
        all.AddRange(old[..head].Select(line => "  " + line));
        all.AddRange((long)a.Length * b.Length > MostCells ? [.. a.Select(line => "- " + line), .. b.Select(line => "+ " + line)] : Middle(a, b));
        all.AddRange(old[^tail..].Select(line => "  " + line));
        bool[] near = new bool[all.Count];
        for (int i = 0; i < all.Count; i++)
        {
            if (all[i][0] != ' ')
            {
                Array.Fill(near, true, Math.Max(0, i - Context), Math.Min(all.Count, i + Context + 1) - Math.Max(0, i - Context));
            }
        }

        return [.. all.Where((_, i) => near[i]).Select(CleanText.Escaped)];
    }

    private static List<string> Middle(string[] a, string[] b)
    {
        int[,] common = new int[a.Length + 1, b.Length + 1];
        for (int i = a.Length - 1; i >= 0; i--)
        {
            for (int j = b.Length - 1; j >= 0; j--)
            {
                common[i, j] = a[i] == b[j] ? common[i + 1, j + 1] + 1 : Math.Max(common[i + 1, j], common[i, j + 1]);
            }
        }

        var lines = new List<string>();
        for (int i = 0, j = 0; i < a.Length || j < b.Length;)
        {
            if (i < a.Length && j < b.Length && a[i] == b[j])
            {
                lines.Add("  " + a[i++]);
                j++;
            }
            else if (i < a.Length && (j == b.Length || common[i + 1, j] >= common[i, j + 1]))
            {
                lines.Add("- " + a[i++]);
            }
            else
            {
                lines.Add("+ " + b[j++]);
            }
        }

        return lines;
    }

    private static string[] Lines(string text) => text.Length == 0 ? [] : (text.EndsWith('\n') ? text[..^1] : text).Split('\n');
}
