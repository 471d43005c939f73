using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using Recipes.Files;
using Recipes.Hosting.Library;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Hosting.Orders;

/// <summary>One row of a list of orders: an art, what is done to it, and how many pieces are printed.</summary>
public sealed record Order
{
    /// <summary>Counts from 1 without the head.</summary>
    public required int Number { get; init; }

    /// <summary>The art's path, seen from the working directory; empty in a row that is refused for want of one.</summary>
    public required string Art { get; init; }

    /// <summary>The recipe's name or file; empty where what was kept is taken as it is.</summary>
    public required string Recipe { get; init; }

    /// <summary>The garment setup's name or file, or null where the row names none.</summary>
    public string? Setup { get; init; }

    /// <summary>The garment of the shop's stock, which chooses the setup; null where the row names none.</summary>
    public string? Garment { get; init; }

    /// <summary>The order's number, as the shop writes it, or null.</summary>
    public string? OrderNumber { get; init; }

    /// <summary>The day on which it leaves the shop, or null.</summary>
    public DateOnly? ShipBy { get; init; }

    /// <summary>The garment sizes, as the shop writes them, or null.</summary>
    public string? Sizes { get; init; }

    /// <summary>Where on the garment it is printed, or null; a recipe with a parameter <c>place</c> gets it.</summary>
    public string? Place { get; init; }

    /// <summary>What it sets for its recipe, each as <c>--set</c> takes it.</summary>
    public ImmutableArray<string> Sets { get; init; } = [];

    /// <summary>True where it begins with what was kept for the art under its setup; else with the file itself.</summary>
    public bool FromKept { get; init; }

    /// <summary>How many pieces.</summary>
    public required int Quantity { get; init; }

    /// <summary>What the sheet calls it.</summary>
    public required string Label { get; init; }

    /// <summary>The name of the picture that is written, without folder and ending; empty in a row that is refused for want of one.</summary>
    public required string Stem { get; init; }

    /// <summary>Where each column's field stands.</summary>
    public required ImmutableDictionary<string, Place> Places { get; init; }

    /// <summary>Where a column's field stands, or the row where it has no such column.</summary>
    public Place PlaceOf(string column) => Places.GetValueOrDefault(column, Places["art"]);
}

/// <summary>A list of orders, a CSV file. docs/orders.md describes it.</summary>
public static class OrderList
{
    private const long Longest = 1024 * 1024;
    private const int MostRows = 1000, LongestStem = 200, LongestWord = 80, MostProblems = 50, MostSets = 50;
    private static readonly string[] Columns =
    [
        "art", "recipe", "setup", "garment", "quantity", "sizes", "place", "order", "ship-by", "label", "output",
        "set", "from",
    ];
    /// <summary>What the column <c>from</c> takes: the file itself.</summary>
    public const string ArtItself = "file";

    /// <summary>What the column <c>from</c> takes: what was kept for the art.</summary>
    public const string Kept = "kept";

    private static readonly string[] Needed = ["art", "recipe"];
    private static readonly string[] OtherPictures = [".jpg", ".jpeg", ".tif", ".tiff", ".webp", ".ora"];

    /// <summary>Reads a list and checks what can be checked without opening an art.</summary>
    /// <returns>
    /// The rows, each without what can't be used, so that all else of it can be checked; and a problem (R6303, R1009) for each field that can't be used,
    /// with line and column. A row whose fields don't match the columns is left out.
    /// </returns>
    /// <exception cref="ProblemException">R6303: it can't be read as a table with the needed columns.</exception>
    public static (ImmutableArray<Order> Orders, ImmutableArray<Problem> Problems) Read(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        var records = CsvText.Parse(ReadText(path), path, MostRows + 1);
        if (records.Length < 2)
        {
            throw new ProblemException(Bad(new Place(path), "The list has no rows.", "Write a line of column names, and below it a line for each order."));
        }

        var head = records[0];
        var problems = new List<Problem>(OfHead(head, path));
        if (problems.Count > 0)
        {
            throw new ProblemException([.. problems.Take(MostProblems)]);
        }

        var orders = ImmutableArray.CreateBuilder<Order>();
        var stems = new Dictionary<string, Order>(StringComparer.OrdinalIgnoreCase);
        foreach (var (record, number) in records.Skip(1).Select((record, i) => (record, i + 1)))
        {
            if (record.Length != head.Length)
            {
                problems.Add(Bad(At(path, record[^1]), $"The row has {record.Length} fields, and the first line {head.Length} columns.",
                    "Put a field with a comma in double quotes; leave an unknown field empty, with its comma."));
                continue;
            }

            var order = new Row(path, head.Zip(record).ToDictionary(pair => pair.First.Text, pair => pair.Second), problems).Read(number);
            if (order.Stem.Length > 0 && !stems.TryAdd(order.Stem, order))
            {
                problems.Add(new Problem(Codes.SameOutput,
                    $"This row and that of line {stems[order.Stem].Places["art"].Line} would both give {order.Stem}.png.",
                    "Give each its own name in the column 'output'.", order.PlaceOf("output")));
            }

            orders.Add(order);
        }

        return (orders.ToImmutable(), [.. problems.Take(MostProblems)]);
    }

    /// <summary>The name of a parameter in <c>name=value</c>.</summary>
    public static string NameOf(string set)
    {
        ArgumentNullException.ThrowIfNull(set);
        return set.Split('=', 2)[0];
    }

    private static IEnumerable<Problem> OfHead(ImmutableArray<CsvField> head, string path)
    {
        foreach (var (i, name) in head.Index())
        {
            if (!Columns.Contains(name.Text))
            {
                string commas = name.Text.AsSpan().ContainsAny(';', '\t') ? "Part the fields with commas. " : "";
                yield return Bad(At(path, name), $"There is no column '{CleanText.Line(name.Text, 40)}'.",
                    $"{commas}The first line names the columns: {string.Join(", ", Columns)}.");
            }
            else if (head.Take(i).Any(earlier => earlier.Text == name.Text))
            {
                yield return Bad(At(path, name), $"The column '{name.Text}' is there twice.", "Remove one of the two.");
            }
        }

        foreach (string needed in Needed.Where(needed => head.All(name => name.Text != needed)))
        {
            yield return Bad(At(path, head[0]), $"The column '{needed}' is missing.",
                $"The first line names the columns: {string.Join(", ", Columns)}; art and recipe are needed.");
        }
    }

    private static Place At(string path, CsvField field) => new(path, field.Line, field.Column);

    // One row: its fields by column, and what is wrong with them.
    private sealed class Row(string path, Dictionary<string, CsvField> fields, List<Problem> problems)
    {
        public Order Read(int number)
        {
            bool kept = FromKept();
            foreach (string needed in Needed.Where(needed => fields[needed].Text.Length == 0 && !(needed == "recipe" && kept)))
            {
                Refuse(needed, $"The field '{needed}' is empty.",
                    $"Every row names its art and its recipe; only one that begins with what was kept (from={Kept}) may leave the recipe empty.");
            }

            if (Text("setup").Length > 0 && Text("garment").Length > 0)
            {
                Refuse("garment", "The row names a setup and a garment, and a garment chooses the setup.", "Leave one of them empty.");
            }

            string stem = Stem();
            return new Order
            {
                Number = number,
                Art = Text("art").Length == 0 ? "" : Beside(Text("art")),
                Recipe = IsFile(Text("recipe"), ".csx") || IsFile(Text("recipe"), RecipeList.Ending) ? Beside(Text("recipe")) : Text("recipe"),
                Setup = Text("setup") is { Length: > 0 } setup ? IsFile(setup, ".json") ? Beside(setup) : setup : null,
                Garment = Word("garment"),
                OrderNumber = Word("order"),
                ShipBy = ShipBy(),
                Sizes = Word("sizes"),
                Place = Word("place"),
                Sets = Sets(),
                FromKept = kept,
                Quantity = Quantity(),
                Label = CleanText.Line(Text("label"), 200) is { Length: > 0 } label ? label : CleanText.Line(stem, 200),
                Stem = stem,
                Places = fields.ToImmutableDictionary(field => field.Key, field => At(path, field.Value)),
            };
        }

        private int Quantity()
        {
            string quantity = Text("quantity");
            if (!PieceCount.Is(quantity.Length == 0 ? "1" : quantity, out int pieces))
            {
                Refuse("quantity", $"'{CleanText.Line(quantity, 40)}' is no quantity.", $"Write a whole number from 1 to {PieceCount.Most}.");
            }

            return pieces;
        }

        private DateOnly? ShipBy()
        {
            if (Text("ship-by") is not { Length: > 0 } day)
            {
                return null;
            }

            if (DateOnly.TryParseExact(day, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date))
            {
                return date;
            }

            Refuse("ship-by", $"'{CleanText.Line(day, 40)}' is no day.", "Write it as 2026-12-01, for instance.");
            return null;
        }

        // A value may hold blanks, as a file's name does, so only semicolons part them.
        private ImmutableArray<string> Sets()
        {
            string[] sets = Text("set").Split(';', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries);
            string[] wrong = [.. sets.Where(set => set.IndexOf('=', StringComparison.Ordinal) <= 0 || set.Contains('\n', StringComparison.Ordinal))];
            foreach (string set in wrong.Take(MostSets))
            {
                Refuse("set", $"'{CleanText.Line(set, 40)}' sets no parameter.",
                    "Write width=4in; top=3in, for instance: name=value, several with a semicolon between.");
            }

            if (sets.Length > MostSets)
            {
                Refuse("set", $"The field sets more than {MostSets} parameters.", "Give each once.");
                return [];
            }

            if (sets.Length > 0 && Text("recipe").Length == 0)
            {
                Refuse("set", "The row sets parameters, and no recipe takes them.", "Name the recipe, or leave 'set' empty.");
                return [];
            }

            string[] good = [.. sets.Except(wrong)];
            foreach (string twice in good.CountBy(NameOf).Where(name => name.Value > 1).Select(name => name.Key))
            {
                Refuse("set", $"The field sets '{CleanText.Line(twice, 40)}' twice.", "Give each once.");
            }

            return [.. good.DistinctBy(NameOf)];
        }

        private bool FromKept()
        {
            string from = Text("from");
            if (from is not ("" or ArtItself or Kept))
            {
                Refuse("from", $"'{CleanText.Line(from, 40)}' is nothing to begin with.",
                    $"Write {ArtItself} for the art as it came, or {Kept} for what was kept for it under the setup.");
            }

            return from == Kept;
        }

        private string Stem()
        {
            string art = Text("art"), output = Text("output");
            string stem = output.Length == 0 ? Path.GetFileNameWithoutExtension(art)
                : output.EndsWith(".png", StringComparison.OrdinalIgnoreCase) ? output[..^4] : output;
            bool isName = stem.Length is > 0 and <= LongestStem && stem[0] != '.' && !DeviceName.Is(stem) && stem.IndexOfAny(['/', '\\', ':', '\n']) < 0
                && !OtherPictures.Contains(Path.GetExtension(output).ToLowerInvariant());
            if (!isName && (art.Length > 0 || output.Length > 0))
            {
                Refuse(fields.ContainsKey("output") ? "output" : "art",
                    $"'{CleanText.Line(output.Length == 0 ? art : output, 80)}' gives no name for a .png file.",
                    "Write a plain file name, without a folder: the pictures go into the folder that -o names.");
            }

            return isName ? stem : "";
        }

        private void Refuse(string column, string message, string hint) => problems.Add(Bad(At(path, fields[column]), message, hint));

        private string? Word(string column)
        {
            if (Text(column).Length > LongestWord)
            {
                Refuse(column, $"The field '{column}' has over {LongestWord} characters.", "Shorten it.");
                return null;
            }

            return CleanText.Line(Text(column), LongestWord) is { Length: > 0 } word ? word : null;
        }

        private string Text(string column) => fields.TryGetValue(column, out var field) ? field.Text : "";

        // Paths in the list are seen from the list, wherever somebody stands.
        private string Beside(string name) => Path.Combine(Path.GetDirectoryName(path) ?? "", name);
    }

    private static bool IsFile(string name, string ending) => name.EndsWith(ending, StringComparison.OrdinalIgnoreCase)
        || name.Contains('/', StringComparison.Ordinal) || name.Contains('\\', StringComparison.Ordinal);

    private static string ReadText(string path)
    {
        try
        {
            byte[] bytes = OutsideFile.Read(path, Longest) ?? throw new ProblemException(Bad(new Place(path), "The list is longer than 1 MB.", "Split it."));
            var utf8 = bytes.AsSpan();
            return new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(utf8.StartsWith(Encoding.UTF8.Preamble) ? utf8[3..] : utf8);
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            throw new ProblemException(Bad(new Place(path), $"There is no file {path}.", $"Check the path. It was looked for at {Path.GetFullPath(path)}."), e);
        }
        catch (ArgumentException e)
        {
            throw new ProblemException(Bad(new Place(path), "The list is not UTF-8 text.", "Save it as comma-separated values in UTF-8."), e);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Bad(new Place(path), $"The list can't be read: {e.Message}", "Check the path and the file's permissions."), e);
        }
    }

    private static Problem Bad(Place where, string message, string hint) => new(Codes.BadOrderList, message, hint, where);
}
