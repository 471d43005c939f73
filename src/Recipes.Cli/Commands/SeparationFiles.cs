using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary>The separation planes in force, each a gray PNG beside the flat picture: <c>NAME-underbase</c>, <c>NAME-underbase-2</c>.</summary>
/// <param name="Path">Where it goes.</param>
/// <param name="Ink">0 is none, 255 a solid.</param>
internal sealed record SeparationFiles(string Path, Plane<byte> Ink)
{
    public static IReadOnlyList<SeparationFiles> Of(Artwork art, string path)
    {
        string stem = System.IO.Path.Combine(System.IO.Path.GetDirectoryName(path) ?? "", System.IO.Path.GetFileNameWithoutExtension(path));
        List<SeparationFiles> files = [];
        if (art.Underbase is { } first)
        {
            files.Add(new SeparationFiles($"{stem}-underbase.png", first));
        }

        if (art.SecondPass is { } second)
        {
            files.Add(new SeparationFiles($"{stem}-underbase-2.png", second));
        }

        return files;
    }

    /// <summary>A warning where colors changed after the underbase was laid, else none.</summary>
    public static IEnumerable<Problem> Warning(Artwork art)
    {
        if (art.UnderbaseIsOutdated)
        {
            yield return new Problem(Codes.UnderbaseOutdated, "Colors changed after the underbase was laid; it may not fit them.",
                "Run white-underbase again.", null, Severity.Warning);
        }
    }
}
