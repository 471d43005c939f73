using System.Collections.Immutable;
using Recipes.Problems;

namespace Recipes.Hosting;

/// <summary>
/// A list that a shop keeps as a JSON file: one beside the house configuration, for all who work there, and one of the user's own in the configuration
/// folder, which comes later and so counts where both name the same. Read as what anybody could have written.
/// </summary>
internal static class ShopList
{
    /// <summary>The longest file, bytes.</summary>
    public const int Longest = 1024 * 1024;

    /// <summary>The entries of all of them, the house's first.</summary>
    /// <param name="fileName">What the file is called.</param>
    /// <param name="source">How its faults are told.</param>
    /// <param name="read">Reads the bytes of one.</param>
    /// <exception cref="ProblemException">The source's code: a list can't be used.</exception>
    public static IEnumerable<T> Read<T>(string fileName, Func<string, OutsideSource> source, Func<byte[], string, ImmutableArray<T>> read) =>
        Files(fileName).SelectMany(file => ReadFile(file, source(file), read));

    private static IEnumerable<string> Files(string fileName)
    {
        if (House.Read().File is { } house)
        {
            yield return Path.Combine(Path.GetDirectoryName(house)!, fileName);
        }

        if (UserFolders.Config is { } config)
        {
            yield return Path.Combine(config, fileName);
        }
    }

    private static ImmutableArray<T> ReadFile<T>(string file, OutsideSource source, Func<byte[], string, ImmutableArray<T>> read)
    {
        try
        {
            return read(OutsideFile.Read(file, Longest) ?? throw source.Bad("the file is longer than 1 MB"), file);
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            return [];
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(source.Code, $"{source.What} can't be read: {e.Message}", "Check the file and its permissions.", new Place(file), e);
        }
    }
}
