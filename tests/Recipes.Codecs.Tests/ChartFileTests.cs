using System.Diagnostics;
using System.Globalization;
using System.Text;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Codecs.Tests;

/// <summary>
/// Chart files as text. The fixtures follow public CGATS.17 and ISO 28178 files and the reading rules of the MIT-licensed
/// Little CMS, as their README says; the standards' own text was not at hand.
/// </summary>
public class ChartFileTests
{
    private static readonly string Fixtures = Path.Combine(AppContext.BaseDirectory, "Values", "cgats");

    private const string Head = "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID SAMPLE_NAME RGB_R RGB_G RGB_B LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n";

    public static TheoryData<string> Good => [.. Directory.EnumerateFiles(Fixtures, "ok_*").Select(file => Path.GetFileName(file)!).Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Good))]
    public void Every_good_file_gives_the_same_three_patches(string name)
    {
        var chart = Read(name);
        chart.Doubts.ShouldBeEmpty();
        chart.Scale.ShouldBe(RgbScale.Levels);
        chart.IsMeasured.ShouldBeTrue();
        ThreePatches(chart).ShouldBe(["A1", "A 2", "A3"]);
    }

    [Fact]
    public void All_good_files_are_there() => Good.Count.ShouldBe(6);

    [Fact]
    public void Decimal_commas_are_read_and_told()
    {
        var chart = Read("warn_decimal_comma.txt");
        ThreePatches(chart).ShouldBe(["A1", "A 2", "A3"]);
        chart.Doubts.ShouldHaveSingleItem().ShouldContain("line 8");
    }

    [Fact]
    public void Percent_is_detected_and_told()
    {
        var chart = Read("warn_rgb_percent_0_100.txt");
        ThreePatches(chart).ShouldBe(["1", "2", "3"]);
        chart.Scale.ShouldBe(RgbScale.Percent);
        chart.Doubts.ShouldHaveSingleItem().ShouldContain("percent");
        ChartFile.Read(Bytes("warn_rgb_percent_0_100.txt"), "chart.txt", RgbScale.Levels).Rows[0].R.ShouldBe(100);
    }

    [Theory]
    [InlineData("bad_duplicate_sample_id.txt", 10)]
    [InlineData("bad_field_missing_in_row.txt", 9)]
    [InlineData("bad_no_end_data.txt", 10)]
    [InlineData("bad_not_a_number.txt", 9)]
    [InlineData("bad_set_count.txt", 6)]
    public void A_bad_file_is_refused_with_the_line(string name, int line)
    {
        var problem = Should.Throw<ProblemException>(() => Read(name)).Problems.ShouldHaveSingleItem();
        problem.Code.ShouldBe(Codes.DamagedChart);
        problem.Where!.Line.ShouldBe(line);
    }

    [Fact]
    public void The_chart_of_125_has_its_grid()
    {
        var chart = Read("synthetic_rgb_125.txt");
        chart.Rows.Length.ShouldBe(125);
        double[] levels = [0, 64, 128, 191, 255];
        chart.Rows.Select(row => (row.R, row.G, row.B)).ShouldBe(levels.SelectMany(r => levels.SelectMany(g => levels.Select(b => (r, g, b)))));
        chart.Rows[^1].Label.ShouldBe("Y5");
        chart.Rows[^1].Lab.ShouldBe(new Lab(95, 1, -4));
    }

    [Theory]
    [InlineData("1 A 96 0 0 50 0 0\nEND_DATA\n", "R7005")]
    [InlineData("1 A 256 0 0 50 0 0\nEND_DATA\n", "R7001")]
    [InlineData("1 A 255 0 0 NaN 0 0\nEND_DATA\n", "R7001")]
    [InlineData("1 A 255 0 0 1e999 0 0\nEND_DATA\n", "R7001")]
    [InlineData("1 A 255 0 0 1,000.5 0 0\nEND_DATA\n", "R7001")]
    [InlineData("1 \"A 255 0 0 50 0 0\nEND_DATA\n", "R7001")]
    [InlineData("END_DATA\n", "R7001")]
    [InlineData("", "R7001")]
    public void What_makes_no_sense_is_refused(string rows, string code) =>
        Should.Throw<ProblemException>(() => ChartFile.Read(Encoding.UTF8.GetBytes(Head + rows), "chart.txt")).Problems[0].Code.Id.ShouldBe(code);

    [Theory]
    [InlineData("")]
    [InlineData("# only a comment\n")]
    [InlineData("hello\n")]
    [InlineData("CGATS.17\n")]
    [InlineData("CGATS.17\nBEGIN_DATA\n1\nEND_DATA\n")]
    [InlineData("CGATS.17\nBEGIN_DATA_FORMAT\nEND_DATA_FORMAT\n")]
    [InlineData("CGATS.17\nBEGIN_DATA_FORMAT\nRGB_R RGB_R\nEND_DATA_FORMAT\n")]
    [InlineData("CGATS.17\nBEGIN_DATA_FORMAT\nRGB_R\n")]
    [InlineData("CGATS.17\nNUMBER_OF_FIELDS 2\nBEGIN_DATA_FORMAT\nRGB_R\nEND_DATA_FORMAT\n")]
    [InlineData("CGATS.17\nNUMBER_OF_SETS many\n")]
    [InlineData("CGATS.17\nEND_DATA\n")]
    [InlineData("C\0G\0A\0T\0S\0")]
    public void What_is_no_chart_is_refused(string text) =>
        Should.Throw<ProblemException>(() => ChartFile.Read(Encoding.UTF8.GetBytes(text), "chart.txt")).Problems[0].Code.ShouldBe(Codes.DamagedChart);

    [Fact]
    public void A_file_without_RGB_is_incomplete_and_one_without_Lab_is_a_reference()
    {
        Should.Throw<ProblemException>(() => ChartFile.Read("CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n1 50 0 0\nEND_DATA\n"u8, "chart.txt"))
            .Problems[0].Code.ShouldBe(Codes.IncompleteChart);
        var reference = ChartFile.Read("CGATS.17\nBEGIN_DATA_FORMAT SampleID RGB_R RGB_G RGB_B END_DATA_FORMAT\nBEGIN_DATA\n1A 255 0 0\nEND_DATA\n"u8, "chart.txt");
        reference.IsMeasured.ShouldBeFalse();
        reference.Rows.ShouldHaveSingleItem().Label.ShouldBe("1A");
    }

    /// <summary>Each bound, one beyond it; the answer is a sentence, and it comes before the memory is spent.</summary>
    [Fact]
    public void Hostile_sizes_are_refused()
    {
        Refused(new string('a', ChartFile.LargestFile + 1)).Message.ShouldContain("8 MB");
        Refused($"CGATS.17\nTAG \"{new string('x', ChartFile.LongestLine)}\"\n").Where!.Line.ShouldBe(2);
        Refused(Head + string.Concat(Enumerable.Range(1, ChartFile.MostRows + 1).Select(i => $"{i} A 255 0 0 50 0 0\n"))).Where!.Line.ShouldBe(5 + ChartFile.MostRows + 1);
        Refused($"CGATS.17\nBEGIN_DATA_FORMAT\n{string.Concat(Enumerable.Range(0, ChartFile.MostFields + 1).Select(i => $"F{i}\n"))}END_DATA_FORMAT\n").Message.ShouldContain("fields");
        const string table = "CGATS.17\nBEGIN_DATA_FORMAT\nX\nEND_DATA_FORMAT\nBEGIN_DATA\n1\nEND_DATA\n";
        Refused(string.Concat(Enumerable.Repeat(table, ChartFile.MostTables + 1))).Message.ShouldContain("tables");
        Refused("CGATS.17\n" + string.Concat(Enumerable.Range(0, 2000).Select(i => $"K{i} 1\n"))).Message.ShouldContain("keywords");

        static Problem Refused(string text)
        {
            var problem = Should.Throw<ProblemException>(() => ChartFile.Read(Encoding.UTF8.GetBytes(text), "chart.txt")).Problems[0];
            problem.Code.ShouldBe(Codes.DamagedChart);
            return problem;
        }
    }

    /// <summary>Cut and altered anywhere, a good file is read or refused, and never anything else.</summary>
    [Fact]
    public void Damaged_anywhere_a_file_is_read_or_refused()
    {
        var random = new Random(5);
        int refused = 0;
        foreach (string name in Good.Select(row => row.Data))
        {
            byte[] good = Bytes(name);
            for (int i = 0; i < 300; i++)
            {
                byte[] bad = i % 2 == 0 ? good[..random.Next(good.Length)] : [.. good];
                if (i % 2 != 0)
                {
                    bad[random.Next(bad.Length)] = (byte)random.Next(256);
                }

                try
                {
                    ChartFile.Read(bad, "chart.txt").Rows.ShouldAllBe(row => double.IsFinite(row.R) && (row.Lab == null || double.IsFinite(row.Lab.Value.L)));
                }
                catch (ProblemException e)
                {
                    e.Problems[0].Code.Id.ShouldStartWith("R700");
                    refused++;
                }
            }
        }

        refused.ShouldBeGreaterThan(600);
    }

    [Fact]
    public void A_reference_is_read_as_it_was_written()
    {
        using var stream = new MemoryStream();
        ChartFile.WriteReference(stream, "three dark colors", "CHART-1", [("A1", new Rgba8(1, 2, 3)), ("A2", new Rgba8(40, 50, 60)), ("AA10", new Rgba8(9, 9, 9))]);
        var chart = ChartFile.Read(stream.ToArray(), "chart.txt");
        // No value is above 100, and still nothing is unclear: the file states its scale.
        chart.Doubts.ShouldBeEmpty();
        chart.Rows.Select(row => (row.Label, row.R, row.G, row.B)).ShouldBe([("A1", 1, 2, 3), ("A2", 40, 50, 60), ("AA10", 9, 9, 9)]);
        chart.IsMeasured.ShouldBeFalse();
    }

    // The judge is Little CMS's own reader, in transicc of Debian's liblcms2-utils: it takes our reference as the chart to convert,
    // and gives Lab under D50 of the colors that it found there, to four digits.
    [Fact]
    public async Task Another_reader_finds_the_same_patches_in_a_reference()
    {
        Oracle.RequireTool("transicc", "liblcms2-utils");
        (string Label, Rgba8 Color)[] patches = [.. Enumerable.Range(0, 60).Select(i => ($"{(char)('A' + (i / 10))}{(i % 10) + 1}", new Rgba8((byte)(i * 41), (byte)(i * 97), (byte)(255 - (i * 3)))))];
        string folder = Directory.CreateTempSubdirectory("recipes-chart").FullName;
        try
        {
            string reference = Path.Combine(folder, "chart.txt"), found = Path.Combine(folder, "found.txt");
            using (var stream = File.Create(reference))
            {
                ChartFile.WriteReference(stream, "sixty colors", "CHART-1", patches);
            }

            using var process = Process.Start(new ProcessStartInfo("transicc", ["-t1", "-c0", "-i*sRGB", "-o*Lab4", reference, found]) { RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false })!;
            var cancel = TestContext.Current.CancellationToken;
            var output = process.StandardOutput.ReadToEndAsync(cancel);
            string errors = await process.StandardError.ReadToEndAsync(cancel);
            await process.WaitForExitAsync(cancel);
            process.ExitCode.ShouldBe(0, $"{errors} {await output}");
            string[][] rows = [.. (await File.ReadAllLinesAsync(found, cancel)).SkipWhile(line => line.Trim() != "BEGIN_DATA").Skip(1).TakeWhile(line => line.Trim() != "END_DATA")
                .Select(line => line.Split((char[])[' ', '\t'], StringSplitOptions.RemoveEmptyEntries))];
            rows.Select(row => row[0]).ShouldBe(Enumerable.Range(1, 60).Select(i => $"{i}"));
            foreach (var (row, (label, color)) in rows.Zip(patches))
            {
                double[] lab = [.. row[1..].Select(number => double.Parse(number, CultureInfo.InvariantCulture))];
                Ciede2000.Difference(new Lab(lab[0], lab[1], lab[2]), LabSpace.D50.Of(color)).ShouldBeLessThan(0.2, label);
            }
        }
        finally
        {
            Directory.Delete(folder, true);
        }
    }

    [Fact]
    public void The_culture_changes_nothing()
    {
        var before = CultureInfo.CurrentCulture;
        try
        {
            CultureInfo.CurrentCulture = new CultureInfo("") { NumberFormat = { NumberDecimalSeparator = ",", NumberGroupSeparator = "." } };
            ThreePatches(Read("ok_space_separated.txt")).Length.ShouldBe(3);
        }
        finally
        {
            CultureInfo.CurrentCulture = before;
        }
    }

    // The labels, once the values are those of the fixtures.
    private static string[] ThreePatches(ChartFile chart)
    {
        chart.Rows.Select(row => (row.R, row.G, row.B)).ShouldBe([(255, 255, 255), (255, 0, 0), (0, 0, 0)]);
        chart.Rows.Select(row => row.Lab!.Value).ShouldBe([new Lab(95, 1, -4), new Lab(54, 56, 28), new Lab(34, 0, 0)]);
        return [.. chart.Rows.Select(row => row.Label)];
    }

    private static ChartFile Read(string name) => ChartFile.Read(Bytes(name), name);

    private static byte[] Bytes(string name) => File.ReadAllBytes(Path.Combine(Fixtures, name));
}
