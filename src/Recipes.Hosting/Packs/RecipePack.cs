using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Trust;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Packs;

/// <summary>
/// A pack: recipes in one file, in the ustar interchange format of POSIX.1 (IEEE Std 1003.1), which every archiver opens. Nothing in it is
/// compressed, so that reading a stranger's pack unpacks nothing. Only what <see cref="Write"/> would write is read, to the byte: links, paths,
/// owners, modes and further headers can't be said in it.
/// </summary>
public static partial class RecipePack
{
    /// <summary>The largest pack, in bytes.</summary>
    public const int Largest = 16 * 1024 * 1024;

    private const int Block = 512, Version = 1, MostRecipes = 256;
    private const string ManifestName = "pack.txt";

    /// <summary>Writes a pack; the same recipes give the same bytes.</summary>
    /// <exception cref="ProblemException">R6204: together they are too large.</exception>
    public static byte[] Write(IEnumerable<PackedRecipe> recipes)
    {
        ImmutableArray<PackedRecipe> sorted = [.. recipes.OrderBy(recipe => recipe.Name, StringComparer.Ordinal)];
        using var stream = new MemoryStream();
        Add(stream, ManifestName, Manifest(sorted));
        foreach (var recipe in sorted)
        {
            foreach (var (name, content) in recipe.Files)
            {
                Add(stream, $"{recipe.Name}/{name}", content);
            }
        }

        // The format ends with two empty blocks.
        stream.Write(new byte[2 * Block]);
        return stream.Length <= Largest && sorted.Length <= MostRecipes ? stream.ToArray()
            : throw new ProblemException(Codes.UnfitFile, $"The pack would hold more than {MostRecipes} recipes or {Largest / 1024 / 1024} MB.",
                "Make several packs, or smaller cases.");
    }

    /// <summary>Reads a pack, as what it is: a file from a stranger.</summary>
    /// <exception cref="ProblemException">R6201 it is none, damaged or hostile; R6202 it is of a newer version.</exception>
    public static ImmutableArray<PackedRecipe> Read(string path)
    {
        try
        {
            return Parse(OutsideFile.Read(path, Largest) ?? throw Damaged(path, $"it is larger than {Largest / 1024 / 1024} MB"), path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw Damaged(path, $"it can't be read: {e.Message}", e);
        }
    }

    /// <summary>A list, and those of its recipes that didn't come with the program.</summary>
    /// <exception cref="ProblemException">R6204: one can't travel.</exception>
    public static IEnumerable<PackedRecipe> Collect(RecipeList list, IEnumerable<RecipeSource> recipes) =>
        // A copy of one that came with the program has its text under another name, which others don't have.
        recipes.Where(recipe => !ShippedRecipes.Holds(recipe) || !RecipePath.IsShipped(recipe.Path)).Select(recipe => PackedRecipe.Collect(recipe))
            .Prepend(PackedRecipe.Collect(list));

    /// <summary>Each once; a recipe that two lists have in common is asked for twice.</summary>
    /// <exception cref="ProblemException">R1003: two that differ have one name, and none of them is left out silently.</exception>
    public static PackedRecipe[] Once(IEnumerable<PackedRecipe> recipes) => [.. recipes.GroupBy(recipe => recipe.Name)
        .Select(named => named.All(named.First().Same) ? named.First()
            : throw new ProblemException(Codes.RecipeInTwoPlaces, $"The pack would hold two that are called '{named.Key}' and differ.",
                "Make a pack for each, or rename one of them."))];

    /// <summary>Every recipe and list of a folder that is laid out like one of the recipe path: a shared drive, for instance.</summary>
    /// <exception cref="ProblemException">R1001 there is no such folder; R2 codes and R6204 of a recipe in it, or of a link.</exception>
    public static ImmutableArray<PackedRecipe> ReadFolder(string folder)
    {
        var found = RecipePath.In(Directory.Exists(folder)
            ? folder : throw new ProblemException(Codes.BadUsage, $"There is no folder {folder}.", "Name an existing folder.", new Place(folder)));
        found.AddRange(RecipePath.ListsIn(folder));
        return found.GroupBy(recipe => recipe.Name).FirstOrDefault(group => group.Count() > 1) is { } twice
            ? throw new ProblemException(Codes.RecipeInTwoPlaces,
                $"The recipe '{twice.Key}' is found in two places: {string.Join(" and ", twice.Select(recipe => recipe.File))}.",
                "Remove one of them.", new Place(folder))
            : [.. found.OrderBy(recipe => recipe.Name, StringComparer.Ordinal).Take(MostRecipes)
                .Select(recipe => recipe.File.EndsWith(RecipeList.Ending, StringComparison.Ordinal)
                    ? PackedRecipe.Collect(RecipeList.Read(recipe.File, folder), folder)
                    : PackedRecipe.Collect(RecipeSource.Read(recipe.Name, recipe.File, folder), folder))];
    }

    internal static ImmutableArray<PackedRecipe> Parse(byte[] bytes, string path)
    {
        int at = 0;
        var manifest = Next(bytes, ref at, path);
        if (manifest is not (ManifestName, var listed) || !(FirstLine().Match(Encoding.UTF8.GetString(listed)) is { Success: true } first))
        {
            throw Damaged(path, "it doesn't begin like one");
        }

        if (first.Groups[1].Value != Version.ToString(CultureInfo.InvariantCulture))
        {
            throw new ProblemException(Codes.NewerPack, $"The pack is of version {first.Groups[1].Value}; this program reads version {Version}.",
                "Update the program, or ask for a pack of this version.", new Place(path));
        }

        var files = new Dictionary<string, ImmutableSortedDictionary<string, byte[]>.Builder>(StringComparer.Ordinal);
        while (Next(bytes, ref at, path) is var (name, content))
        {
            int slash = name.IndexOf('/', StringComparison.Ordinal);
            string recipe = slash < 0 ? "" : name[..slash];
            if (!files.TryGetValue(recipe, out var into))
            {
                files[recipe] = into = ImmutableSortedDictionary.CreateBuilder<string, byte[]>(StringComparer.Ordinal);
            }

            if (files.Count > MostRecipes || !into.TryAdd(name[(slash + 1)..], content))
            {
                throw Damaged(path, files.Count > MostRecipes
                    ? $"it holds more than {MostRecipes} recipes"
                    : $"its file '{CleanText.Line(name, 100)}' is there twice");
            }
        }

        ImmutableArray<PackedRecipe> recipes = [.. files.OrderBy(pair => pair.Key, StringComparer.Ordinal)
            .Select(pair => PackedRecipe.Checked(pair.Key, pair.Value.ToImmutable()) switch
            {
                ({ } recipe, _) => recipe,
                (null, var why) => throw Damaged(path, $"'{CleanText.Line(pair.Key, 80)}' is no recipe: {why}"),
            })];
        return recipes.Length == 0 ? throw Damaged(path, "it holds no recipe")
            : Write(recipes).AsSpan().SequenceEqual(bytes) ? recipes
            : throw Damaged(path, "its list of files doesn't fit its files");
    }

    private static byte[] Manifest(IEnumerable<PackedRecipe> recipes)
    {
        var text = new StringBuilder();
        text.Append(CultureInfo.InvariantCulture, $"recipes-pack {Version}\n");
        foreach (var recipe in recipes)
        {
            text.Append(CultureInfo.InvariantCulture, $"recipe {recipe.Name}\n");
            foreach (var (name, content) in recipe.Files)
            {
                text.Append(CultureInfo.InvariantCulture, $"file {RecipeFiles.Hash(content)}  {recipe.Name}/{name}\n");
            }
        }

        return Encoding.UTF8.GetBytes(text.ToString());
    }

    internal static void Add(Stream stream, string name, byte[] content)
    {
        stream.Write(Header(name, content.Length));
        stream.Write(content);
        stream.Write(new byte[(Block - (content.Length % Block)) % Block]);
    }

    // A ustar header of an ordinary file, mode 644, owner 0, at the epoch.
    private static byte[] Header(string name, int length)
    {
        byte[] header = new byte[Block];
        Put(0, name);
        Put(100, "0000644");
        Put(108, "0000000");
        Put(116, "0000000");
        Put(124, Convert.ToString(length, 8).PadLeft(11, '0'));
        Put(136, "00000000000");
        Put(148, "        ");
        Put(156, "0");
        Put(257, "ustar\u000000");
        Put(329, "0000000");
        Put(337, "0000000");
        Put(148, Convert.ToString(header.Sum(value => (int)value), 8).PadLeft(6, '0') + "\0 ");
        return header;

        void Put(int offset, string text) => Encoding.ASCII.GetBytes(text, header.AsSpan(offset));
    }

    // The next file, or null at a proper end.
    private static (string Name, byte[] Content)? Next(byte[] bytes, ref int at, string path)
    {
        if (bytes.Length - at < 2 * Block)
        {
            throw Damaged(path, "it is cut short");
        }

        var header = bytes.AsSpan(at, Block);
        if (bytes.Length - at == 2 * Block && !bytes.AsSpan(at).ContainsAnyExcept((byte)0))
        {
            return null;
        }

        int end = header[..100].IndexOf((byte)0);
        string name = end is > 0 and < 100 && !header[..end].ContainsAnyExceptInRange((byte)0x21, (byte)0x7e) ? Encoding.ASCII.GetString(header[..end]) : "";
        int length = 0;
        foreach (byte digit in header.Slice(124, 11))
        {
            length = digit is >= (byte)'0' and <= (byte)'7' && length <= Largest ? (length * 8) + digit - '0' : int.MaxValue;
        }

        if (name.Length == 0 || length > Largest || !header.SequenceEqual(Header(name, length)))
        {
            throw Damaged(path, $"its entry {(name.Length == 0 ? "at byte " + at.ToString(CultureInfo.InvariantCulture) : $"'{CleanText.Line(name, 100)}'")}"
                + " is not one that 'recipes pack' writes");
        }

        at += Block;
        if (length > bytes.Length - at)
        {
            throw Damaged(path, "it is cut short");
        }

        byte[] content = bytes[at..(at + length)];
        at += length + ((Block - (length % Block)) % Block);
        return at <= bytes.Length ? (name, content) : throw Damaged(path, "it is cut short");
    }

    private static ProblemException Damaged(string path, string why, Exception? cause = null) => new(
        Codes.DamagedPack, $"This is no pack that can be used: {why}. Nothing was installed.",
        "Get it again from where it came; 'recipes pack' makes packs.", new Place(path), cause);

    [GeneratedRegex("""\Arecipes-pack ([0-9]{1,6})\n""", RegexOptions.CultureInvariant)]
    private static partial Regex FirstLine();
}
