using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using Recipes.Problems;

namespace Recipes.Hosting;

/// <summary>One row of a list of orders: an art, what is done to it, and how many pieces are printed.</summary>
public sealed record Order
{
    /// <summary>Counts from 1 without the head.</summary>
    public required int Number { get; init; }

    /// <summary>The art's path, seen from the working directory.</summary>
    public required string Art { get; init; }

    /// <summary>The recipe's name or file.</summary>
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

    /// <summary>How many pieces.</summary>
    public required int Quantity { get; init; }

    /// <summary>What the sheet calls it.</summary>
    public required string Label { get; init; }

    /// <summary>The name of the picture that is written, without folder and ending.</summary>
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
    /// <summary>The most pieces of one order.</summary>
    internal const int MostPieces = 100_000;

    private const int MostRows = 1000, LongestStem = 200, LongestWord = 80, MostProblems = 50;
    private static readonly string[] Columns = ["art", "recipe", "setup", "garment", "quantity", "sizes", "place", "order", "ship-by", "label", "output"];
    private static readonly string[] Needed = ["art", "recipe"];
    private static readonly string[] OtherPictures = [".jpg", ".jpeg", ".tif", ".tiff", ".webp", ".ora"];

    /// <summary>Reads a list and checks what can be checked without opening an art.</summary>
    /// <returns>The rows that read well, and a problem (R6303, R1009) for each field that can't be used, with line and column.</returns>
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
        var problems = new List<Problem>();
        foreach (var (name, i) in head.Select((name, i) => (name, i)))
        {
            if (!Columns.Contains(name.Text))
            {
                problems.Add(Bad(At(name), $"There is no column '{CleanText.Line(name.Text, 40)}'.",
                    $"{(name.Text.AsSpan().ContainsAny(';', '\t') ? "Part the fields with commas. " : "")}The first line names the columns: {string.Join(", ", Columns)}."));
            }
            else if (head.Take(i).Any(earlier => earlier.Text == name.Text))
            {
                problems.Add(Bad(At(name), $"The column '{name.Text}' is there twice.", "Remove one of the two."));
            }
        }

        problems.AddRange(Needed.Where(needed => head.All(name => name.Text != needed)).Select(needed => Bad(At(head[0]), $"The column '{needed}' is missing.", $"The first line names the columns: {string.Join(", ", Columns)}; art and recipe are needed.")));
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
                problems.Add(Bad(At(record[^1]), $"The row has {record.Length} fields, and the first line {head.Length} columns.", "Put a field with a comma in double quotes; leave an unknown field empty, with its comma."));
                continue;
            }

            if (Row(number, head.Zip(record).ToDictionary(pair => pair.First.Text, pair => pair.Second)) is not { } order)
            {
                continue;
            }

            if (!stems.TryAdd(order.Stem, order))
            {
                problems.Add(new Problem(Codes.SameOutput, $"This row and that of line {stems[order.Stem].Places["art"].Line} would both give {order.Stem}.png.", "Give each its own name in the column 'output'.", order.PlaceOf("output")));
            }

            orders.Add(order);
        }

        return (orders.ToImmutable(), [.. problems.Take(MostProblems)]);

        Place At(CsvField field) => new(path, field.Line, field.Column);

        Order? Row(int number, Dictionary<string, CsvField> row)
        {
            int before = problems.Count;
            foreach (string needed in Needed.Where(needed => row[needed].Text.Length == 0))
            {
                problems.Add(Bad(At(row[needed]), $"The field '{needed}' is empty.", "Every row names its art and its recipe."));
            }

            string quantity = Text("quantity");
            if (!int.TryParse(quantity.Length == 0 ? "1" : quantity, NumberStyles.None, CultureInfo.InvariantCulture, out int pieces) || pieces is < 1 or > MostPieces)
            {
                problems.Add(Bad(At(row["quantity"]), $"'{CleanText.Line(quantity, 40)}' is no quantity.", $"Write a whole number from 1 to {MostPieces}."));
            }

            if (Text("setup").Length > 0 && Text("garment").Length > 0)
            {
                problems.Add(Bad(At(row["garment"]), "The row names a setup and a garment, and a garment chooses the setup.", "Leave one of them empty."));
            }

            DateOnly? shipBy = null;
            if (Text("ship-by") is { Length: > 0 } day)
            {
                shipBy = DateOnly.TryParseExact(day, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date) ? date : null;
                if (shipBy is null)
                {
                    problems.Add(Bad(At(row["ship-by"]), $"'{CleanText.Line(day, 40)}' is no day.", "Write it as 2026-12-01, for instance."));
                }
            }

            foreach (string column in (ReadOnlySpan<string>)["order", "sizes", "place"])
            {
                if (Text(column).Length > LongestWord)
                {
                    problems.Add(Bad(At(row[column]), $"The field '{column}' has over {LongestWord} characters.", "Shorten it."));
                }
            }

            string art = Text("art"), output = Text("output");
            string stem = output.Length == 0 ? Path.GetFileNameWithoutExtension(art)
                : output.EndsWith(".png", StringComparison.OrdinalIgnoreCase) ? output[..^4] : output;
            if (problems.Count == before && (stem.Length is 0 or > LongestStem || stem[0] == '.' || DeviceName.Is(stem) || stem.IndexOfAny(['/', '\\', ':', '\n']) >= 0 || OtherPictures.Contains(Path.GetExtension(output).ToLowerInvariant())))
            {
                problems.Add(Bad(At(row.GetValueOrDefault("output", row["art"])), $"'{CleanText.Line(output.Length == 0 ? art : output, 80)}' gives no name for a .png file.", "Write a plain file name, without a folder: the pictures go into the folder that -o names."));
            }

            return problems.Count > before ? null : new Order
            {
                Number = number,
                Art = Beside(art),
                Recipe = IsFile(Text("recipe"), ".csx") ? Beside(Text("recipe")) : Text("recipe"),
                Setup = Text("setup") is { Length: > 0 } setup ? IsFile(setup, ".json") ? Beside(setup) : setup : null,
                Garment = Word("garment"),
                OrderNumber = Word("order"),
                ShipBy = shipBy,
                Sizes = Word("sizes"),
                Place = Word("place"),
                Quantity = pieces,
                Label = CleanText.Line(Text("label"), 200) is { Length: > 0 } label ? label : CleanText.Line(stem, 200),
                Stem = stem,
                Places = row.ToImmutableDictionary(field => field.Key, field => At(field.Value)),
            };

            string? Word(string column) => CleanText.Line(Text(column), LongestWord) is { Length: > 0 } word ? word : null;

            string Text(string column) => row.TryGetValue(column, out var field) ? field.Text : "";
        }

        // Paths in the list are seen from the list, wherever somebody stands.
        string Beside(string name) => Path.Combine(Path.GetDirectoryName(path) ?? "", name);
    }

    private static bool IsFile(string name, string ending) => name.EndsWith(ending, StringComparison.OrdinalIgnoreCase) || name.Contains('/', StringComparison.Ordinal) || name.Contains('\\', StringComparison.Ordinal);

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
