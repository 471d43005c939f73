using System.Collections.Immutable;
using System.Text;
using Recipes.Files;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Setups;

/// <summary>What a shop's list is made of.</summary>
/// <param name="Version">The field that says its version, 1.</param>
/// <param name="Entries">The field that holds the entries.</param>
/// <param name="Most">The most entries.</param>
/// <param name="Entry">What an entry is called in messages.</param>
internal sealed record ShopListForm(string Version, string Entries, int Most, string Entry);

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

    /// <summary>The entries of one list, of which no two have a name.</summary>
    /// <param name="json">Its bytes.</param>
    /// <param name="source">How its faults are told.</param>
    /// <param name="form">What it is made of.</param>
    /// <param name="read">Reads an entry.</param>
    /// <param name="nameOf">An entry's name.</param>
    /// <exception cref="ProblemException">The source's code with the field and what it takes.</exception>
    public static ImmutableArray<T> Entries<T>(
        ReadOnlySpan<byte> json, OutsideSource source, ShopListForm form, Func<OutsideFields, T> read, Func<T, string> nameOf)
    {
        if (json.Length > Longest)
        {
            throw source.Bad("the file is longer than 1 MB");
        }

        var entries = OutsideFields.Read(json.StartsWith(Encoding.UTF8.Preamble) ? json[3..] : json, source, root =>
        {
            if (root.Number(form.Version, 1, 1) is null)
            {
                throw source.Bad($"it doesn't say \"{form.Version}\": 1, which is what this version reads");
            }

            ImmutableArray<T> listed = [.. root.Objects(form.Entries, form.Most).Select(read)];
            root.End();
            return listed;
        });
        return entries.GroupBy(nameOf).FirstOrDefault(same => same.Count() > 1) is { } twice
            ? throw source.Bad($"the {form.Entry} '{twice.Key}' is listed twice") : entries;
    }

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
