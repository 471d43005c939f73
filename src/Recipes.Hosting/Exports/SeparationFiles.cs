using Recipes.Codecs;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Exports;

/// <summary>
/// The separation planes in force, each a gray picture beside the colors: <c>NAME-underbase</c>, <c>NAME-underbase-2</c>; TIFF beside TIFF, else PNG.
/// </summary>
/// <param name="Path">Where it goes.</param>
/// <param name="Ink">0 is none, 255 a solid.</param>
public sealed record SeparationFiles(string Path, Plane<byte> Ink)
{
    /// <summary>The planes that an art lays, and where each goes beside a picture.</summary>
    public static IReadOnlyList<SeparationFiles> Of(Artwork art, string path)
    {
        ArgumentNullException.ThrowIfNull(art);
        string stem = System.IO.Path.Combine(System.IO.Path.GetDirectoryName(path) ?? "", System.IO.Path.GetFileNameWithoutExtension(path));
        string extension = System.IO.Path.GetExtension(path);
        extension = IsTiff(path) ? extension : ".png";
        List<SeparationFiles> files = [];
        if (art.Underbase is { } first)
        {
            files.Add(new SeparationFiles($"{stem}-underbase{extension}", first));
        }

        if (art.SecondPass is { } second)
        {
            files.Add(new SeparationFiles($"{stem}-underbase-2{extension}", second));
        }

        return files;
    }

    /// <summary>Writes the plane, with a text of where it comes from.</summary>
    public void Write(Stream stream, double? pixelsPerInch, string text)
    {
        if (IsTiff(Path))
        {
            TiffWriter.Write(stream, Ink, pixelsPerInch, text);
        }
        else
        {
            PngWriter.Write(stream, Ink, pixelsPerInch, [new PngText(PngText.Provenance, text)]);
        }
    }

    private static bool IsTiff(string path) => System.IO.Path.GetExtension(path).ToLowerInvariant() is ".tif" or ".tiff";

    /// <summary>A warning where colors changed after the underbase was laid, else none.</summary>
    public static IEnumerable<Problem> Warning(Artwork art)
    {
        ArgumentNullException.ThrowIfNull(art);
        return !art.UnderbaseIsOutdated ? [] :
        [
            new Problem(Codes.UnderbaseOutdated, "Colors changed after the underbase was laid; it may not fit them.",
                "Run white-underbase again.", null, Severity.Warning),
        ];
    }
}
