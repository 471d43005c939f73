using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Codecs;

/// <summary>The largest value of an RGB channel in a chart file.</summary>
public enum RgbScale
{
    /// <summary>0 to 100.</summary>
    Percent = 100,
    /// <summary>0 to 255.</summary>
    Levels = 255,
}

/// <summary>One patch of a chart file.</summary>
/// <param name="Label">SAMPLE_NAME, or SAMPLE_ID where there is none.</param>
/// <param name="R">Red as printed, levels 0 to 255.</param>
/// <param name="G">Green as printed, levels 0 to 255.</param>
/// <param name="B">Blue as printed, levels 0 to 255.</param>
/// <param name="Lab">What was read, CIELAB under D50; null in a reference without readings.</param>
/// <param name="Line">Its line in the file, from 1.</param>
public sealed record ChartRow(string Label, double R, double G, double B, Lab? Lab, int Line);

/// <summary>A chart as text, CGATS.17 or ISO 28178: what was printed in each patch and, once measured, what was read.</summary>
/// <remarks>
/// Written from the public descriptions of both formats and from files in the wild; the standards' own text was not at hand.
/// Read as anybody's text: bounded in every direction, and refused with the line where something doesn't hold. The first table
/// that has RGB fields is taken; others are checked and left aside. Keywords and fields that nobody asked for are skipped.
/// </remarks>
public sealed class ChartFile
{
    /// <summary>The largest file, bytes.</summary>
    public const int LargestFile = 8 << 20;

    /// <summary>The longest line, characters.</summary>
    public const int LongestLine = 16_384;

    /// <summary>The most rows of a table.</summary>
    public const int MostRows = 20_000;

    /// <summary>The most fields of a table; spectra have up to a hundred.</summary>
    public const int MostFields = 1000;

    /// <summary>The most tables.</summary>
    public const int MostTables = 16;

    /// <summary>The keyword under which the program's own charts state their scale.</summary>
    public const string ScaleKeyword = "RGB_SCALE";

    private ChartFile(ImmutableArray<ChartRow> rows, RgbScale scale, bool measured, ImmutableArray<string> doubts)
    {
        Rows = rows;
        Scale = scale;
        IsMeasured = measured;
        Doubts = doubts;
    }

    /// <summary>The patches in the order of the file, at least one.</summary>
    public ImmutableArray<ChartRow> Rows { get; }

    /// <summary>The scale that RGB values have in the file; in <see cref="Rows"/> it is 255.</summary>
    public RgbScale Scale { get; }

    /// <summary>True where the file has readings.</summary>
    public bool IsMeasured { get; }

    /// <summary>What was read in a way that a person should know of, one sentence each.</summary>
    public ImmutableArray<string> Doubts { get; }

    /// <summary>Reads a chart.</summary>
    /// <param name="bytes">The file.</param>
    /// <param name="file">Its name, for messages.</param>
    /// <param name="scale">The scale of RGB values; null detects it.</param>
    /// <exception cref="ProblemException">R7001 malformed or too large; R7002 no RGB fields; R7005 the scale is unclear.</exception>
    public static ChartFile Read(ReadOnlySpan<byte> bytes, string file, RgbScale? scale = null)
    {
        ArgumentNullException.ThrowIfNull(file);
        if (bytes.Length > LargestFile)
        {
            throw Damaged(file, 0, string.Create(CultureInfo.InvariantCulture, $"it is larger than {LargestFile >> 20} MB"));
        }

        if (bytes.Contains((byte)0))
        {
            throw Damaged(file, 0, "it isn't plain text");
        }

        var tables = new Tables(file);
        int line = 0, last = 0;
        foreach (var text in Encoding.UTF8.GetString(bytes.StartsWith(Encoding.UTF8.Preamble) ? bytes[3..] : bytes).AsSpan().EnumerateLines())
        {
            line++;
            if (text.Length > LongestLine)
            {
                throw Damaged(file, line, string.Create(CultureInfo.InvariantCulture, $"the line is longer than {LongestLine} characters"));
            }

            tables.Take(text, line);
            last = text.IsEmpty ? last : line;
        }

        return Of(tables.End(last), file, scale);
    }

    private static ChartFile Of(List<Table> tables, string file, RgbScale? scale)
    {
        var table = tables.Find(table => table.Has("RGBR", "RGBG", "RGBB")) ?? throw new ProblemException(
            Codes.IncompleteChart, "The chart file has no fields RGB_R, RGB_G and RGB_B, so nobody knows what was printed.",
            "Measure against the reference that 'recipes chart' writes beside the chart.", new Place(file));
        bool measured = table.Has("LABL", "LABA", "LABB");
        var numbers = new Numbers(file);
        var rows = ImmutableArray.CreateBuilder<ChartRow>(table.Rows.Count);
        foreach (var (cells, line) in table.Rows)
        {
            double Cell(string field, double least, double most) => numbers.Read(field, cells[Table.Wanted.IndexOf(field)]!, least, most, line);
            rows.Add(new ChartRow(
                cells[0] ?? cells[1] ?? (rows.Count + 1).ToString(CultureInfo.InvariantCulture),
                Cell("RGBR", 0, 255), Cell("RGBG", 0, 255), Cell("RGBB", 0, 255),
                measured ? new Lab(Cell("LABL", 0, 150), Cell("LABA", -200, 200), Cell("LABB", -200, 200)) : null,
                line));
        }

        if (rows.Count == 0)
        {
            throw Damaged(file, table.Line, "the table has no rows");
        }

        List<string> doubts = [];
        if (numbers.CommaLine is { } comma)
        {
            doubts.Add(string.Create(CultureInfo.InvariantCulture, $"Numbers have decimal commas, first in line {comma}; they were read as decimal points."));
        }

        var found = scale ?? StatedScale(table, file) ?? DetectScale(rows, file, doubts);
        if (found == RgbScale.Percent)
        {
            if (rows.FirstOrDefault(row => Math.Max(row.R, Math.Max(row.G, row.B)) > 100) is { } above)
            {
                throw Damaged(file, above.Line, "an RGB value is above 100, on a scale from 0 to 100");
            }

            for (int i = 0; i < rows.Count; i++)
            {
                rows[i] = rows[i] with { R = rows[i].R * 255 / 100, G = rows[i].G * 255 / 100, B = rows[i].B * 255 / 100 };
            }
        }

        return new ChartFile(rows.DrainToImmutable(), found, measured, [.. doubts]);
    }

    private static RgbScale? StatedScale(Table table, string file) => !table.Keywords.TryGetValue(ScaleKeyword, out var stated) ? null : stated.Value switch
    {
        "255" => RgbScale.Levels,
        "100" => RgbScale.Percent,
        _ => throw Damaged(file, stated.Line, $"{ScaleKeyword} is 255 or 100"),
    };

    private static RgbScale DetectScale(IReadOnlyList<ChartRow> rows, string file, List<string> doubts)
    {
        double largest = rows.Max(row => Math.Max(row.R, Math.Max(row.G, row.B)));
        if (largest > 100)
        {
            return RgbScale.Levels;
        }

        if (largest == 100)
        {
            doubts.Add("The largest RGB value is 100, so the values were read as percent, 0 to 100. If they are levels, say --rgb-scale 255.");
            return RgbScale.Percent;
        }

        throw new ProblemException(Codes.UnclearScale,
            string.Create(CultureInfo.InvariantCulture, $"The largest RGB value in the chart file is {largest}: it could be of a scale to 255 or to 100."),
            $"Say --rgb-scale 255 or --rgb-scale 100, or state it in the file: a line KEYWORD \"{ScaleKeyword}\" "
                + $"and a line {ScaleKeyword} \"255\" before the data.",
            new Place(file));
    }

    /// <summary>Writes a reference: what is printed in each patch, for the measuring program to put its readings beside.</summary>
    /// <param name="target">Written from its position on; neither flushed nor closed.</param>
    /// <param name="descriptor">What the chart is, one line without quotation marks.</param>
    /// <param name="identity">The name that is printed on the chart's pages.</param>
    /// <param name="patches">Label and color of each patch; labels without quotation marks.</param>
    public static void WriteReference(Stream target, string descriptor, string identity, IReadOnlyList<(string Label, Rgba8 Color)> patches)
    {
        ArgumentNullException.ThrowIfNull(target);
        ArgumentNullException.ThrowIfNull(patches);
        var text = new StringBuilder();
        var culture = CultureInfo.InvariantCulture;
        text.Append("CGATS.17\nORIGINATOR\t\"Recipes\"\n");
        text.Append(culture, $"FILE_DESCRIPTOR\t\"{descriptor}\"\n");
        text.Append(culture, $"KEYWORD\t\"CHART_ID\"\nCHART_ID\t\"{identity}\"\n");
        text.Append(culture, $"KEYWORD\t\"{ScaleKeyword}\"\n{ScaleKeyword}\t\"255\"\n");
        text.Append("NUMBER_OF_FIELDS\t5\nBEGIN_DATA_FORMAT\nSAMPLE_ID\tSAMPLE_NAME\tRGB_R\tRGB_G\tRGB_B\nEND_DATA_FORMAT\n");
        text.Append(culture, $"NUMBER_OF_SETS\t{patches.Count}\nBEGIN_DATA\n");
        foreach (var (index, (label, color)) in patches.Index())
        {
            text.Append(culture, $"{index + 1}\t{label}\t{color.R}\t{color.G}\t{color.B}\n");
        }

        text.Append("END_DATA\n");
        target.Write(Encoding.UTF8.GetBytes(text.ToString()));
    }

    private static ProblemException Damaged(string file, int line, string what) => new(
        Codes.DamagedChart, $"The chart file can't be read: {what}.",
        "Mend the place shown, or save the file again from the measuring program as CGATS.17 or ISO 28178 text.",
        line > 0 ? new Place(file, line, 1) : new Place(file));

    private sealed class Numbers(string file)
    {
        public int? CommaLine { get; private set; }

        public double Read(string field, string text, double least, double most, int line)
        {
            const NumberStyles style = NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint | NumberStyles.AllowExponent;
            if (!double.TryParse(text, style, CultureInfo.InvariantCulture, out double value))
            {
                if (text.Count(c => c == ',') != 1 || text.Contains('.', StringComparison.Ordinal)
                    || !double.TryParse(text.Replace(',', '.'), style, CultureInfo.InvariantCulture, out value))
                {
                    throw Damaged(file, line, $"'{Short(text)}' is not a number, and {Spelled(field)} takes one");
                }

                CommaLine ??= line;
            }

            // Written so that a value that is no number fails too.
            return value >= least && value <= most ? value
                : throw Damaged(file, line, string.Create(CultureInfo.InvariantCulture, $"{Spelled(field)} is {Short(text)}, and takes {least} to {most}"));
        }

        private static string Spelled(string field) => $"{field[..3]}_{field[3..]}";
    }

    private static string Short(string text) => text.Length <= 40 ? text : text[..40] + "…";

    private sealed class Table(int line)
    {
        public int Line { get; } = line;

        public Dictionary<string, (string Value, int Line)> Keywords { get; } = new(StringComparer.Ordinal);

        // The fields that are kept, in the order of a row's cells: a spectrum of a hundred more is read past.
        public static readonly ImmutableArray<string> Wanted = ["SAMPLENAME", "SAMPLEID", "RGBR", "RGBG", "RGBB", "LABL", "LABA", "LABB"];

        // Upper case and without underscores, since SampleID and SAMPLE_ID are the same.
        public List<string> Fields { get; } = [];

        public List<(string?[] Cells, int Line)> Rows { get; } = [];

        public bool Has(params ReadOnlySpan<string> fields)
        {
            foreach (string field in fields)
            {
                if (!Fields.Contains(field))
                {
                    return false;
                }
            }

            return true;
        }
    }

    private enum Part
    {
        Head,
        Format,
        Data,
    }

    // Takes the file line by line.
    private sealed class Tables(string file)
    {
        private const int MostKeywords = 1000;

        private readonly List<Table> tables = [];
        private readonly HashSet<string> ids = new(StringComparer.Ordinal);
        private readonly List<string> cells = [];
        private Part part = Part.Head;
        private bool begun, hasData;
        private (int Count, int Line)? fieldCount, setCount;

        private Table Current => tables[^1];

        public void Take(ReadOnlySpan<char> text, int line)
        {
            Split(text, line);
            if (cells.Count == 0)
            {
                return;
            }

            if (!begun)
            {
                begun = IsSheet(cells[0]) ? true : throw Damaged(file, line, "the first line doesn't say CGATS or ISO28178, so it is no chart file");
                tables.Add(new Table(line));
                return;
            }

            switch (part)
            {
                case Part.Format:
                    TakeFormat(line);
                    break;
                case Part.Data:
                    TakeData(line);
                    break;
                default:
                    TakeHead(line);
                    break;
            }
        }

        public List<Table> End(int line)
        {
            if (!begun)
            {
                throw Damaged(file, 0, "it is empty");
            }

            return part switch
            {
                Part.Format => throw Damaged(file, line, "the file ends before END_DATA_FORMAT"),
                Part.Data => throw Damaged(file, line, "the file ends before END_DATA"),
                _ => tables.Exists(table => table.Fields.Count > 0) ? tables : throw Damaged(file, line, "the file has no data"),
            };
        }

        private static bool IsSheet(string word) =>
            word.StartsWith("CGATS", StringComparison.Ordinal) || word.StartsWith("ISO28178", StringComparison.Ordinal)
                || word.StartsWith("IT8", StringComparison.Ordinal);

        private void TakeHead(int line)
        {
            switch (cells[0])
            {
                case "BEGIN_DATA_FORMAT":
                    if (Current.Fields.Count > 0)
                    {
                        NextTable(line);
                    }

                    part = Part.Format;
                    cells.RemoveAt(0);
                    TakeFormat(line);
                    break;
                case "BEGIN_DATA" when cells.Count == 1:
                    part = Current.Fields.Count > 0 && !hasData ? Part.Data : throw Damaged(file, line, "BEGIN_DATA has no data format before it");
                    break;
                case "END_DATA_FORMAT" or "END_DATA":
                    throw Damaged(file, line, $"{cells[0]} has no beginning");
                case "NUMBER_OF_FIELDS":
                    fieldCount = (Count(line), line);
                    CheckFields();
                    break;
                case "NUMBER_OF_SETS":
                    setCount = (Count(line), line);
                    break;
                case var word when IsSheet(word) && hasData:
                    NextTable(line);
                    break;
                default:
                    if (Current.Keywords.Count >= MostKeywords)
                    {
                        throw Damaged(file, line, string.Create(CultureInfo.InvariantCulture, $"there are more than {MostKeywords} keywords"));
                    }

                    Current.Keywords[cells[0]] = (cells.Count > 1 ? cells[1] : "", line);
                    break;
            }
        }

        private void TakeFormat(int line)
        {
            foreach (string cell in cells)
            {
                if (cell == "END_DATA_FORMAT")
                {
                    part = Part.Head;
                    CheckFields();
                    if (Current.Fields.Count == 0)
                    {
                        throw Damaged(file, line, "the data format names no fields");
                    }

                    return;
                }

                string field = cell.Replace("_", "", StringComparison.Ordinal).ToUpperInvariant();
                if (Current.Fields.Contains(field))
                {
                    throw Damaged(file, line, $"the field {Short(cell)} is named twice");
                }

                Current.Fields.Add(field);
                if (Current.Fields.Count > MostFields)
                {
                    throw Damaged(file, line, string.Create(CultureInfo.InvariantCulture, $"there are more than {MostFields} fields"));
                }
            }
        }

        private void TakeData(int line)
        {
            if (cells is ["END_DATA"])
            {
                if (setCount is var (sets, at) && sets != Current.Rows.Count)
                {
                    throw Damaged(file, at, string.Create(CultureInfo.InvariantCulture, $"NUMBER_OF_SETS is {sets}, and there are {Current.Rows.Count} rows"));
                }

                part = Part.Head;
                hasData = true;
                return;
            }

            if (cells.Count != Current.Fields.Count)
            {
                throw Damaged(file, line, string.Create(CultureInfo.InvariantCulture,
                    $"the row has {cells.Count} values, and the format names {Current.Fields.Count} fields"));
            }

            if (Current.Rows.Count == MostRows)
            {
                throw Damaged(file, line, string.Create(CultureInfo.InvariantCulture, $"there are more than {MostRows} rows"));
            }

            int id = Current.Fields.IndexOf("SAMPLEID");
            if (id >= 0 && !ids.Add(cells[id]))
            {
                throw Damaged(file, line, $"the SAMPLE_ID {Short(cells[id])} occurs twice");
            }

            Current.Rows.Add(([.. Table.Wanted.Select(field => Current.Fields.IndexOf(field) is >= 0 and var at ? cells[at] : null)], line));
        }

        private void NextTable(int line)
        {
            if (!hasData)
            {
                throw Damaged(file, line, "a data format has no data");
            }

            if (tables.Count == MostTables)
            {
                throw Damaged(file, line, string.Create(CultureInfo.InvariantCulture, $"there are more than {MostTables} tables"));
            }

            tables.Add(new Table(line));
            ids.Clear();
            hasData = false;
            (fieldCount, setCount) = (null, null);
        }

        private void CheckFields()
        {
            if (part != Part.Format && Current.Fields.Count > 0 && fieldCount is var (fields, at) && fields != Current.Fields.Count)
            {
                throw Damaged(file, at, string.Create(CultureInfo.InvariantCulture,
                    $"NUMBER_OF_FIELDS is {fields}, and the format names {Current.Fields.Count}"));
            }
        }

        private int Count(int line) =>
            cells.Count > 1 && int.TryParse(cells[1], NumberStyles.None, CultureInfo.InvariantCulture, out int count) ? count
                : throw Damaged(file, line, $"{cells[0]} takes a whole number");

        // Words between blanks and tabs; a quoted text is one word; what follows # is a comment.
        private void Split(ReadOnlySpan<char> text, int line)
        {
            cells.Clear();
            for (int i = 0; i < text.Length;)
            {
                if (text[i] is ' ' or '\t')
                {
                    i++;
                    continue;
                }

                if (text[i] == '#')
                {
                    return;
                }

                if (text[i] is '"' or '\'')
                {
                    int length = text[(i + 1)..].IndexOf(text[i]);
                    if (length < 0)
                    {
                        throw Damaged(file, line, "a quotation mark has no partner");
                    }

                    cells.Add(text.Slice(i + 1, length).ToString());
                    i += length + 2;
                    continue;
                }

                int end = text[i..].IndexOfAny(' ', '\t');
                end = end < 0 ? text.Length : i + end;
                cells.Add(text[i..end].ToString());
                i = end;
            }
        }
    }
}
