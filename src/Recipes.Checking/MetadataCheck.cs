using System.Collections.Immutable;
using Recipes.Problems;

namespace Recipes.Checking;

/// <summary>
/// Judges a compiled recipe by its bytes alone: every reference, signature, base type, attribute and instruction against
/// the <see cref="AllowList"/>. It trusts nobody, the compiler included; malformed bytes are refused, not thrown at the caller.
/// </summary>
public static class MetadataCheck
{
    /// <summary>The largest assembly judged, in bytes. A recipe of 64 KB of source compiles to far less.</summary>
    public const int LargestAssembly = 4 * 1024 * 1024;

    /// <summary>The most findings reported.</summary>
    public const int MostFindings = 20;

    /// <summary>Judges an assembly; time grows with its size, and no more.</summary>
    /// <param name="assembly">Bytes from anywhere.</param>
    /// <param name="fileName">The recipe's name, for the problems' place.</param>
    /// <param name="recipe">The checked recipe, or null where there are problems.</param>
    /// <param name="withLines">Places findings by the assembly's debug information, which the check itself never opens: only for a worker.</param>
    /// <returns>At most <see cref="MostFindings"/> problems of code R2004, each naming what was found.</returns>
    public static ImmutableArray<Problem> Check(ReadOnlySpan<byte> assembly, string fileName, out CheckedRecipe? recipe, bool withLines = false)
    {
        recipe = CheckedRecipe.Judge(assembly, out var findings);
        var problems = ImmutableArray.CreateBuilder<Problem>(findings.Count);
        foreach (var finding in findings)
        {
            var place = withLines && finding.At is { } at ? RecipeLines.PlaceOf(assembly, at.Method, at.Offset) : null;
            problems.Add(new Problem(Codes.ForbiddenAssembly, finding.Message,
                "Write the recipe without it; plain C#, LINQ and Art are enough.", place ?? new Place(fileName)));
        }

        return problems.MoveToImmutable();
    }
}
