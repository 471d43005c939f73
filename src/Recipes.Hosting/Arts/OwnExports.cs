using Recipes.Files;
using Recipes.Work;

namespace Recipes.Hosting.Arts;

/// <summary>Which files are exports that a work file remembers, byte for byte as they were written.</summary>
public static class OwnExports
{
    /// <summary>True where an output is an export of this art under this setup that nobody has changed since: writing it anew loses nothing.</summary>
    /// <param name="work">The art's work file, or null.</param>
    /// <param name="setup">The garment setup's name. Another setup's export is another print, and stays.</param>
    /// <param name="artPath">The art.</param>
    /// <param name="output">The file.</param>
    public static bool Hold(WorkFile? work, string setup, string artPath, string output)
    {
        string folder = Path.GetDirectoryName(Path.GetFullPath(artPath))!;
        string[] hashes = work is null || !File.Exists(output) ? []
            : [.. work.Line(setup).Exports.Where(export => RealPath.Same(Path.Combine(folder, export.Path), output)).Select(export => export.Sha256)];
        return IsOneOf(output, hashes);
    }

    /// <summary>True where a file's hash is among those; none means no.</summary>
    internal static bool IsOneOf(string file, IReadOnlyCollection<string> hashes)
    {
        try
        {
            return hashes.Count > 0 && hashes.Contains(OutsideFile.Sha256(file));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }
}
