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
    /// <returns>At most <see cref="MostFindings"/> problems of code R2004, each naming what was found.</returns>
    public static ImmutableArray<Problem> Check(ReadOnlySpan<byte> assembly, string fileName, out CheckedRecipe? recipe)
    {
        recipe = CheckedRecipe.Judge(assembly, out var findings);
        return
        [
            .. findings.Select(finding => new Problem(
                Codes.ForbiddenAssembly,
                finding,
                "Write the recipe without it; plain C#, LINQ and Art are enough.",
                new Place(fileName))),
        ];
    }
}
