using System.Globalization;
using System.IO.Compression;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tests.Work;

/// <summary>Real prints that are remembered, and files of the version that remembered none.</summary>
public sealed partial class WorkFileTest
{
    [Fact]
    public void Prints_come_back_in_order_for_the_setup_that_they_were_made_under()
    {
        PrintRecord bad = Sample.Print(1, good: false, "speckled \u202E'); DROP TABLE print; --") with { By = null }, good = Sample.Print(2);
        using (var work = WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0)))
        {
            work.Commit("a", 0, Sample.Record(), Sample.Noise(1));
            work.Commit("a", 1, Sample.Record(), Sample.Noise(2));
            work.RecordPrint("a", bad);
            work.RecordPrint("b", Sample.Print(0));
            work.RecordPrint("a", good);
            work.Undo("a");
        }

        using var again = Sample.Reopen(FilePath);
        again.Line("a").Prints.ShouldBe([bad, good]);
        again.Line("b").Prints.ShouldBe([Sample.Print(0)]);
        again.Line("c").Prints.ShouldBeEmpty();
        // What was printed says nothing about which setup the work goes on under.
        again.LastSetup.ShouldBe("a");
    }

    [Fact]
    public void A_print_of_a_step_that_there_never_was_changes_nothing()
    {
        Simple(FilePath);
        using (var work = Sample.Reopen(FilePath, forWriting: true))
        {
            foreach (int step in new[] { -1, 3 })
            {
                Stop(() => work.RecordPrint("a", Sample.Print(step)), Codes.UnknownStep);
            }

            Stop(() => work.RecordPrint("a", Sample.Print(1, note: new string('x', 4097))), Codes.OutputUnwritable);
        }

        using var again = Sample.Reopen(FilePath);
        again.Line("a").Prints.Length.ShouldBe(1);
    }

    // The file was written by this program before it could remember prints.
    [Fact]
    public void A_file_of_version_1_is_read_worked_on_and_left_at_its_version()
    {
        WriteVersion1();
        byte[] before = File.ReadAllBytes(FilePath);
        using (var work = Sample.Reopen(FilePath))
        {
            var line = work.Line("light-garment");
            (line.Head, line.Steps.Length, line.Exports.Length, work.LastSetup).ShouldBe((2, 2, 1, "black-garment"));
            line.Prints.ShouldBeEmpty();
            work.Read("light-garment", 2).ShouldLookLike(Sample.Noise(2, 20, 10));
            work.ReadOriginalBytes().ShouldBe(Sample.Original.Bytes);
        }

        File.ReadAllBytes(FilePath).ShouldBe(before);
        using (var work = Sample.Reopen(FilePath, forWriting: true))
        {
            work.Commit("light-garment", 2, Sample.Record(), Sample.Noise(4, 20, 10)).ShouldBe(3);
        }

        VersionOf(FilePath).ShouldBe(1);
        // RFC 1950, 2.2: of deflate with a window of 32 KB, the first byte is 0x78. The program that wrote the file reads nothing else.
        Scalar("SELECT count(*) FROM tile WHERE hex(substr(data, 1, 1)) <> '78'").ShouldBe(0L);
    }

    [Fact]
    public void The_first_print_brings_a_file_of_version_1_to_version_2_and_keeps_all_that_it_holds()
    {
        WriteVersion1();
        using (var reader = Sample.Reopen(FilePath))
        {
            using (var work = Sample.Reopen(FilePath, forWriting: true))
            {
                work.RecordPrint("light-garment", Sample.Print(2));
                work.LastSetup.ShouldBe("black-garment");
            }

            // A program that has the file open reads on.
            reader.Line("light-garment").Prints.ShouldBe([Sample.Print(2)]);
        }

        VersionOf(FilePath).ShouldBe(2);
        using var again = Sample.Reopen(FilePath, forWriting: true);
        again.Commit("black-garment", 1, Sample.Record(), Sample.Noise(5, 20, 10)).ShouldBe(2);
        again.RecordPrint("light-garment", Sample.Print(0));
        var line = again.Line("light-garment");
        (line.Steps.Length, line.Exports.Length, line.Prints.Length, again.LastSetup).ShouldBe((2, 1, 2, "black-garment"));
        again.Read("light-garment", 1).ShouldLookLike(Sample.Noise(1, 20, 10));
    }

    [Fact]
    public void A_refused_first_print_leaves_a_file_of_version_1_as_it_was()
    {
        WriteVersion1();
        using (var work = Sample.Reopen(FilePath, forWriting: true))
        {
            Stop(() => work.RecordPrint("light-garment", Sample.Print(9)), Codes.UnknownStep);
        }

        VersionOf(FilePath).ShouldBe(1);
        using var again = Sample.Reopen(FilePath);
        again.Line("light-garment").Steps.Length.ShouldBe(2);
    }

    [Fact]
    public void Causes_costs_and_notes_come_back_as_they_were_told()
    {
        PrintRecord[] told =
        [
            Sample.Print(0, good: false) with { Cause = "dust", Cost = new PrintCost(12.5m, "EUR") },
            Sample.Print(0, good: false, note: "") with { Cause = "head-strike" },
            Sample.Print(0, good: false) with { Cost = new PrintCost(0, null) },
            Sample.Print(0),
        ];
        ArtNote[] notes = [Sample.Note, new ArtNote("\u202E'); DROP TABLE note; --", null, Sample.Noon)];
        using (var work = WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0)))
        {
            Array.ForEach(told, print => work.RecordPrint("a", print));
            Array.ForEach(notes, work.AddNote);
            // A note is the art's, not a setup's, and says nothing about which setup the work goes on under.
            (work.Setups.Length, work.LastSetup).ShouldBe((1, "a"));
            Stop(() => work.AddNote(Sample.Note with { Text = new string('x', 4097) }), Codes.OutputUnwritable);
        }

        using var again = Sample.Reopen(FilePath);
        again.Line("a").Prints.ShouldBe(told);
        again.Notes.ShouldBe(notes);
    }

    [Fact]
    public void A_cause_that_is_no_name_and_a_cost_that_is_none_are_not_kept_and_are_damage_where_somebody_forged_them()
    {
        Simple(FilePath);
        using (var work = Sample.Reopen(FilePath, forWriting: true))
        {
            foreach (var print in new[] { Sample.Print(1) with { Cause = "<b>" }, Sample.Print(1) with { Cost = new PrintCost(1.234m, null) } })
            {
                Should.Throw<ArgumentException>(() => work.RecordPrint("a", print));
            }
        }

        byte[] whole = File.ReadAllBytes(FilePath);
        var honest = Sample.Print(2);
        foreach (var (cause, cost) in new[]
            {
                ("<script>", "12.50 EUR"), ("dust", "12.5 EUR"), ("dust", "-1.00"), ("dust", "9999999.00"), ("dust", "1.00 eur"),
            })
        {
            File.WriteAllBytes(FilePath, whole);
            byte[] forged = Digest.Of("a", 1, 2, 1, honest.By, honest.PixelsSha256, honest.Note, honest.SetupJson,
                honest.At.ToString("O", CultureInfo.InvariantCulture), cause, cost);
            Sql($"UPDATE fault SET cause = '{cause}', cost = '{cost}'; UPDATE print SET digest = $data", forged);
            using var work = Sample.Reopen(FilePath);
            Stop(() => work.Line("a"), Codes.DamagedWorkFile);
        }
    }

    // Written by this program before it could remember causes and notes; a plain print leaves it to programs of its time.
    [Fact]
    public void A_file_of_version_1_takes_the_steps_to_the_newest_as_it_needs_them()
    {
        WriteVersion1();
        using (var reader = Sample.Reopen(FilePath))
        {
            using (var work = Sample.Reopen(FilePath, forWriting: true))
            {
                work.Notes.ShouldBeEmpty();
                work.RecordPrint("light-garment", Sample.Print(1));
                VersionOf(FilePath).ShouldBe(2);
                work.RecordPrint("light-garment", Sample.Print(2, good: false) with { Cause = "rim" });
            }

            reader.Line("light-garment").Prints.Select(print => print.Cause).ShouldBe([null, "rim"]);
            reader.Notes.ShouldBeEmpty();
        }

        VersionOf(FilePath).ShouldBe(4);
        using var again = Sample.Reopen(FilePath, forWriting: true);
        again.AddNote(Sample.Note);
        again.Notes.ShouldBe([Sample.Note]);
        again.Commit("black-garment", 1, Sample.Record(), Sample.Noise(5, 20, 10)).ShouldBe(2);
        again.Read("light-garment", 1).ShouldLookLike(Sample.Noise(1, 20, 10));
    }

    [Fact]
    public void A_note_brings_a_file_of_version_1_to_the_newest_at_once_and_one_that_is_refused_leaves_it()
    {
        WriteVersion1();
        using (var work = Sample.Reopen(FilePath, forWriting: true))
        {
            Stop(() => work.AddNote(Sample.Note with { By = new string('x', 4097) }), Codes.OutputUnwritable);
            VersionOf(FilePath).ShouldBe(1);
            work.AddNote(Sample.Note);
            work.LastSetup.ShouldBe("black-garment");
        }

        VersionOf(FilePath).ShouldBe(4);
        using var again = Sample.Reopen(FilePath);
        again.Notes.ShouldBe([Sample.Note]);
        again.Line("light-garment").Prints.ShouldBeEmpty();
    }

    [Theory]
    [InlineData("12", "12.00")]
    [InlineData("0", "0.00")]
    [InlineData("12.5", "12.50")]
    [InlineData("12.50 eur", "12.50 EUR")]
    [InlineData("1000000.00 EUR", "1000000.00 EUR")]
    [InlineData("1000000.01", null)]
    [InlineData("12,50", null)]
    [InlineData("-1", null)]
    [InlineData("+1", null)]
    [InlineData("1e3", null)]
    [InlineData(".5", null)]
    [InlineData("1.234", null)]
    [InlineData("12.50EUR", null)]
    [InlineData("12.50 EUR ", null)]
    [InlineData("12.50\n", null)]
    [InlineData("12 currencies", null)]
    [InlineData("\u0661\u0662", null)]
    [InlineData("", null)]
    public void A_cost_is_a_plain_amount(string text, string? read)
    {
        var before = CultureInfo.CurrentCulture;
        var comma = (CultureInfo)CultureInfo.InvariantCulture.Clone();
        comma.NumberFormat.NumberDecimalSeparator = ",";
        try
        {
            CultureInfo.CurrentCulture = comma;
            PrintCost.Read(text)?.ToString().ShouldBe(read);
            (PrintCost.Read(text) is null).ShouldBe(read is null);
        }
        finally
        {
            CultureInfo.CurrentCulture = before;
        }
    }

    [Fact]
    public void Costs_in_different_currencies_are_summed_apart() =>
        PrintCost.Sums([new(1, "USD"), new(12.5m, "EUR"), new(2, null), new(0.05m, "EUR")]).Select(sum => sum.ToString())
            .ShouldBe(["2.00", "12.55 EUR", "1.00 USD"]);

    private void WriteVersion1()
    {
        using var packed = new GZipStream(typeof(WorkFileTest).Assembly.GetManifestResourceStream("version-1.work.gz")!, CompressionMode.Decompress);
        using var file = File.Create(FilePath);
        packed.CopyTo(file);
    }

    // SQLite, "Database File Format", 1.3: the user version is the big-endian number at byte 60.
    private static int VersionOf(string path) => System.Buffers.Binary.BinaryPrimitives.ReadInt32BigEndian(File.ReadAllBytes(path).AsSpan(60));
}
