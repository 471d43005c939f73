using System.Collections.Immutable;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Setups;

/// <summary>The sizes that an order asks for, as somebody wrote them, held against those that the stock lists.</summary>
public static class OrderedSizes
{
    // Words and signs that stand beside sizes and are none.
    private static readonly ImmutableHashSet<string> Beside =
        ImmutableHashSet.Create(StringComparer.OrdinalIgnoreCase, "and", "of", "each", "pc", "pcs", "piece", "pieces");

    /// <summary>The sizes, or what reads like one, that a garment's stock doesn't have; none of a garment whose sizes nobody listed.</summary>
    /// <param name="garment">The garment.</param>
    /// <param name="sizes">What was ordered, <c>M 4, 2XL 2</c> for instance: names in small or capital letters, with whole numbers beside them.</param>
    public static ImmutableArray<string> Unlisted(Garment garment, string sizes)
    {
        ArgumentNullException.ThrowIfNull(garment);
        ArgumentNullException.ThrowIfNull(sizes);
        // The longest first: "youth M" is no M.
        string[] known = [.. garment.Sizes.Select(size => size.Name).OrderByDescending(name => name.Length)];
        var unlisted = ImmutableArray.CreateBuilder<string>();
        for (int at = 0; known.Length > 0 && at < sizes.Length;)
        {
            if (!char.IsLetterOrDigit(sizes[at]))
            {
                at++;
            }
            else if (known.FirstOrDefault(name => StandsAt(sizes, at, name)) is { } found)
            {
                at += found.Length;
            }
            else
            {
                int end = at;
                while (end < sizes.Length && char.IsLetterOrDigit(sizes[end]))
                {
                    end++;
                }

                if (!IsCount(sizes[at..end]))
                {
                    unlisted.Add(CleanText.Line(sizes[at..end], 40));
                }

                at = end;
            }
        }

        return [.. unlisted.Distinct(StringComparer.OrdinalIgnoreCase)];
    }

    /// <summary>The warning about them, or null where the stock has all, or where the setup is no garment's.</summary>
    /// <param name="setup">The setup's name.</param>
    /// <param name="sizes">What was ordered, or null.</param>
    /// <param name="where">Where that stands.</param>
    /// <exception cref="ProblemException">R1012: the stock can't be used.</exception>
    public static Problem? Warning(string setup, string? sizes, Place? where) =>
        sizes is null || GarmentStock.Known(setup) is not { } garment || Unlisted(garment, sizes) is not { IsEmpty: false } unlisted ? null
            : new Problem(Codes.SizeNotListed,
                $"The stock lists no {string.Join(", no ", unlisted)} of {garment.InWords()}. "
                    + $"It has {string.Join(", ", garment.Sizes.Select(size => size.Name))}.",
                $"Take another garment, ask the customer, or add the size to {Path.GetFileName(garment.File)} where the shop has it.", where, Severity.Warning);

    // A number may stand right behind a name, as in M4; before it, it would make another size, as in 3XL.
    private static bool StandsAt(string text, int at, string name) =>
        string.Compare(text, at, name, 0, name.Length, StringComparison.OrdinalIgnoreCase) == 0
        && (at + name.Length >= text.Length || !char.IsLetterOrDigit(text[at + name.Length])
            || (char.IsAsciiDigit(text[at + name.Length]) && !char.IsAsciiDigit(name[^1])));

    // 4, x4 and 4x; 2X with a capital letter is a size.
    private static bool IsCount(string word) => Beside.Contains(word) || word.Trim('x', '×').All(char.IsAsciiDigit);
}
