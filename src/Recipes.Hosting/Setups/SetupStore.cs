using System.Text;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Setups;

/// <summary>The garment setups: the shipped ones, the user's own, and a file named on the command line.</summary>
public static class SetupStore
{
    /// <summary>What reading commands fall back on where nobody chose a setup; they say so.</summary>
    public const string Fallback = "light-garment";

    /// <summary>The shipped setups.</summary>
    public static IReadOnlyList<GarmentSetup> Shipped { get; } =
    [
        new GarmentSetup
        {
            Name = "light-garment",
            Garment = new Rgba8(0xF4, 0xF2, 0xEC),
            PlatenWidth = 14,
            PlatenHeight = 16,
        },
        new GarmentSetup
        {
            Name = "black-garment",
            Garment = new Rgba8(0x16, 0x16, 0x18),
            PlatenWidth = 14,
            PlatenHeight = 16,
            Ink = new InkRules { BlackBare = true },
        },
        new GarmentSetup
        {
            Name = "black-garment-opaque-white",
            Garment = new Rgba8(0x16, 0x16, 0x18),
            PlatenWidth = 14,
            PlatenHeight = 16,
            Ink = new InkRules { WhiteBare = false },
            Underbase = Underbase.File,
        },
    ];

    /// <summary>Every setup that has a name, by name; one of the user's own takes the place of a shipped one.</summary>
    public static IReadOnlyDictionary<string, (GarmentSetup Setup, string? File)> All()
    {
        var all = new SortedDictionary<string, (GarmentSetup, string?)>(StringComparer.Ordinal);
        foreach (var setup in Shipped)
        {
            all[setup.Name] = (setup, null);
        }

        foreach (string file in UserFiles())
        {
            string name = Path.GetFileNameWithoutExtension(file);
            all[name] = (ReadOwn(file), file);
        }

        return all;
    }

    /// <summary>Finds a setup by name, or reads it from a file; a garment of the stock is a setup too.</summary>
    /// <exception cref="ProblemException">R1006 unknown; R1007 malformed; R1012 the garment stock can't be used.</exception>
    public static GarmentSetup Find(string nameOrFile)
    {
        ArgumentNullException.ThrowIfNull(nameOrFile);
        if (IsFile(nameOrFile) || IsTaken(nameOrFile))
        {
            return FindSetup(nameOrFile);
        }

        var stock = GarmentStock.All();
        return stock.GetValueOrDefault(nameOrFile)?.ToSetup() ?? throw Unknown(nameOrFile, [.. stock.Keys]);
    }

    /// <summary>True for the name of a shipped setup, or of one of the user's own.</summary>
    // Of a shipped one without a look at any folder.
    internal static bool IsTaken(string name) => Shipped.Any(setup => setup.Name == name) || Taken().Contains(name);

    /// <summary>The names of all of them.</summary>
    internal static HashSet<string> Taken() =>
        [.. Shipped.Select(setup => setup.Name), .. UserFiles().Select(file => Path.GetFileNameWithoutExtension(file)!)];

    /// <summary>Finds a setup that is no garment's.</summary>
    internal static GarmentSetup FindSetup(string nameOrFile)
    {
        if (IsFile(nameOrFile))
        {
            return ReadFile(nameOrFile);
        }

        if (UserFiles().FirstOrDefault(file => Path.GetFileNameWithoutExtension(file) == nameOrFile) is { } own)
        {
            return ReadOwn(own);
        }

        return Shipped.FirstOrDefault(setup => setup.Name == nameOrFile) ?? throw Unknown(nameOrFile, []);
    }

    // Whoever asks for a setup may mean a garment of the stock, and the other way round.
    private static ProblemException Unknown(string name, string[] garments)
    {
        string[] setups = [.. Taken().Order(StringComparer.Ordinal)];
        string hint = Suggestion.For(name, [.. setups, .. garments]) is { } nearest ? Suggestion.DidYouMean(nearest)
            : $"{Suggestion.Hint(name, setups)} {Suggestion.Listed("Garments of the stock", garments, "recipes garments")}".Trim();
        return new ProblemException(Codes.UnknownSetup, $"There is no garment setup '{CleanText.Line(name, 80)}'.", hint);
    }

    private static bool IsFile(string nameOrFile) => nameOrFile.EndsWith(".json", StringComparison.OrdinalIgnoreCase)
        || nameOrFile.Contains('/', StringComparison.Ordinal) || nameOrFile.Contains('\\', StringComparison.Ordinal);

    /// <summary>The folder of the user's own setups, or null where there is no home.</summary>
    public static string? UserFolder => UserFolders.Config is { } config ? Path.Combine(config, "setups") : null;

    private static IEnumerable<string> UserFiles()
    {
        return UserFolder is { } folder && Directory.Exists(folder)
            ? Directory.EnumerateFiles(folder, "*.json").Where(file => PlainName.IsOfFile(Path.GetFileNameWithoutExtension(file))).Order(StringComparer.Ordinal)
            : [];
    }

    // Steps are kept under the name that a setup gives itself, so a copy that still has the first one's would continue those.
    private static GarmentSetup ReadOwn(string file)
    {
        var setup = ReadFile(file);
        return setup.Name == Path.GetFileNameWithoutExtension(file) ? setup : throw new ProblemException(
            Codes.BadSetup, $"The garment setup can't be used: it is called '{setup.Name}', and its file {Path.GetFileName(file)}.",
            "Change 'name' to the file's, or leave it out.", new Place(file));
    }

    private static GarmentSetup ReadFile(string file)
    {
        byte[] bytes;
        try
        {
            bytes = OutsideFile.Read(file, SetupJson.Longest)
                ?? throw new ProblemException(Codes.BadSetup, "The garment setup can't be used: the file is longer than 64 KB.",
                    "Name a garment setup.", new Place(file));
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            throw new ProblemException(Codes.UnknownSetup, $"There is no garment setup file {file}.",
                "'recipes setups' lists the setups by name.", new Place(file), e);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.BadSetup, $"The garment setup can't be read: {e.Message}",
                "Check the file and its permissions.", new Place(file), e);
        }

        var utf8 = bytes.AsSpan();
        if (utf8.StartsWith(Encoding.UTF8.Preamble))
        {
            utf8 = utf8[3..];
        }

        string stem = Path.GetFileNameWithoutExtension(file).ToLowerInvariant();
        return SetupJson.Read(utf8, file, PlainName.IsOfFile(stem) ? stem : "setup") with { Folder = Path.GetDirectoryName(Path.GetFullPath(file)) };
    }
}
