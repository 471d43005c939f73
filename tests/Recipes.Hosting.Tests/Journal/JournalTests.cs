using System.Text;
using System.Text.Json;
using CsCheck;
using Recipes.Files;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Tests.Work;
using Recipes.Hosting.Trust;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.Journals;

/// <summary>The journal's file: whole lines whoever writes, and used as far as it is sound.</summary>
public sealed class JournalTests : IDisposable
{
    private static readonly TimeSpan Soon = TimeSpan.FromMinutes(1);
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-journal-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    private string Path => System.IO.Path.Combine(folder, "data", "journal.jsonl");

    private static JournalEntry Entry(int step, string art = "puffin.png") => new()
    {
        At = new DateTimeOffset(2026, 11, 25, 21, 14, 7, TimeSpan.Zero),
        Act = JournalAct.Commit,
        By = "night-shift",
        Recipe = new JournalRecipe("printable-whites", 2, new string('a', 64)),
        Art = new JournalFile(art, new string('b', 64)),
        Setup = "light-garment",
        Step = step,
    };

    private JournalReading Read() => Journal.Read(Path, _ => true);

    private static JournalEntry? Parsed(string line) => JournalEntry.Parse(Encoding.UTF8.GetBytes(line)).Entry;

    // JSON Lines: each line is a valid JSON value in UTF-8, ended by a line feed (jsonlines.org); times as RFC 3339, section 5.6.
    [Fact]
    public void A_line_is_one_json_object_with_the_documented_fields()
    {
        Journal.Append(Path, [Entry(1), Entry(2)], Soon);
        string text = File.ReadAllText(Path);
        text.ShouldEndWith("}\n");
        string[] lines = text.TrimEnd('\n').Split('\n');
        lines.Length.ShouldBe(2);
        using var json = JsonDocument.Parse(lines[1]);
        json.RootElement.EnumerateObject().Select(field => field.Name).ShouldBe(["journal", "at", "what", "by", "recipe", "art", "setup", "step"]);
        json.RootElement.GetProperty("journal").GetInt32().ShouldBe(1);
        json.RootElement.GetProperty("at").GetDateTimeOffset().ShouldBe(Entry(2).At);
        json.RootElement.GetProperty("what").GetString().ShouldBe("commit");
        json.RootElement.GetProperty("recipe").GetProperty("version").GetInt32().ShouldBe(2);
        json.RootElement.GetProperty("art").GetProperty("name").GetString().ShouldBe("puffin.png");
        json.RootElement.GetProperty("step").GetInt32().ShouldBe(2);
    }

    // A journal of all shifts lies in a folder that all may write to. What it leads to is told by device and inode, as for every output.
    [Fact]
    public void An_art_that_a_link_in_its_place_leads_to_is_not_written()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Links need rights there.");
        string art = System.IO.Path.Combine(folder, "ring.png");
        File.WriteAllText(art, "art");
        Originals.Add(art);
        Directory.CreateDirectory(System.IO.Path.GetDirectoryName(Path)!);
        File.CreateSymbolicLink(Path, art);
        Should.Throw<ProblemException>(() => Journal.Append(Path, [Entry(1)], Soon)).Problems[0].Code.ShouldBe(Codes.OutputExists);
        File.ReadAllText(art).ShouldBe("art");
    }

    [Fact]
    public void Any_text_stays_on_its_line_and_comes_back_as_it_was_kept() => Gen.String[Gen.Char, 0, 400].Holds(text =>
    {
        var entry = Entry(3) with { By = text, Note = text, Recipes = [text, "two"], Art = new JournalFile(JournalFile.NameOf("desk/" + text.Replace('/', '-')), new string('b', 64)) };
        string line = entry.ToString();
        line.ShouldNotContain('\n');
        line.ShouldNotContain('\r');
        // An art without a name, or a recipe of a list without one, can't be; everything else is read back.
        if (entry.Art.Name.Length > 0 && JournalEntry.Clean(text) is not null)
        {
            Parsed(line).ShouldNotBeNull(line).ToString().ShouldBe(line);
        }
    });

    [Fact]
    public void A_line_from_before_joiners_were_shown_is_read_and_shows_them()
    {
        // An anchor as a picture, which a variation selector (U+FE0F) makes of the sign.
        string line = (Entry(1) with { By = "crew ANCHOR" }).ToString().Replace("ANCHOR", "\u2693\ufe0f", StringComparison.Ordinal);
        Parsed(line).ShouldNotBeNull().By.ShouldBe("crew \u2693\\uFE0F");
        Parsed(line.Replace("\ufe0f", "\u0085", StringComparison.Ordinal)).ShouldBeNull();
    }

    [Fact]
    public void The_longest_line_that_is_written_is_read()
    {
        // UTF-16 text of characters outside the basic plane, each of which JSON writes as two escapes of six bytes (RFC 8259, section 7).
        string name = string.Concat(Enumerable.Repeat("🐧", 300));
        var file = new JournalFile(name, new string('a', 64));
        var longest = Entry(1) with { By = name, Recipe = new JournalRecipe(name, 1, file.Sha256), Recipes = [.. Enumerable.Repeat(name, 100)], Art = file, File = file, Setup = name, From = name, Note = name };
        Journal.Append(Path, [longest], TimeSpan.Zero);
        var read = Read();
        read.Damaged.ShouldBeEmpty();
        read.Entries.ShouldHaveSingleItem().Recipes.Length.ShouldBe(64);
    }

    [Fact]
    public void Of_a_stranger_s_long_lines_only_the_newest_are_kept()
    {
        string names = string.Join(',', Enumerable.Repeat($"\"{string.Concat(Enumerable.Repeat("\\ud83d\\udc27", 127))}\"", 40));
        const int Lines = 300;
        Directory.CreateDirectory(System.IO.Path.GetDirectoryName(Path)!);
        File.WriteAllLines(Path, Enumerable.Range(1, Lines).Select(n => $$"""{"journal":1,"at":"2026-11-25T21:14:07Z","what":"commit","step":{{n}},"recipes":[{{names}}]}"""));
        long bytes = new FileInfo(Path).Length;
        bytes.ShouldBeGreaterThan(16 * 1024 * 1024);
        var read = Read();
        read.Damaged.ShouldBeEmpty();
        (read.Entries.Length * (bytes / Lines)).ShouldBeInRange(7 * 1024 * 1024, 8 * 1024 * 1024);
        (read.Entries.Length + read.LeftOut).ShouldBe(Lines);
        read.Entries[^1].Step.ShouldBe(Lines);
    }

    [Fact]
    public async Task Processes_that_write_at_once_never_mix_or_lose_a_line()
    {
        const int lines = 300;
        string[] writers = ["day-shift", "night-shift", "press-room"];
        var ends = await Task.WhenAll(writers.Select(writer => Child.Run("journal", Path, writer, $"{lines}")));
        ends.ShouldAllBe(end => end.Exit == 0);
        var read = Read();
        read.Damaged.ShouldBeEmpty();
        read.Entries.Length.ShouldBe(writers.Length * lines);
        foreach (string writer in writers)
        {
            read.Entries.Where(entry => entry.By == writer).Select(entry => entry.Step).ShouldBe(Enumerable.Range(1, lines).Select(n => (int?)n));
        }
    }

    [Fact]
    public void What_is_no_line_of_ours_is_told_by_its_number_and_the_rest_is_used()
    {
        Journal.Append(Path, [Entry(1)], Soon);
        File.AppendAllText(Path, string.Join('\n',
            "no json", "[]", "", """{"journal":2,"at":"2026-11-25T21:14:07Z","what":"commit"}""", """{"journal":1,"at":"yesterday","what":"commit"}""",
            """{"journal":1,"at":"2026-11-25T21:14:07Z","what":"burn"}""", """{"journal":1,"at":"2026-11-25T21:14:07Z","what":"commit","by":7}""",
            """{"journal":1,"at":"2026-11-25T21:14:07Z","what":"commit","art":{"name":"a","sha256":"00"}}""",
            """{"journal":1,"at":"2026-11-25T21:14:07Z","what":"commit","recipe":{"name":"a"}}""",
            """{"journal":1,"at":"2026-11-25T21:14:07Z","what":"commit","note":"\u001b[2Jgone"}""",
            """{"journal":1,"journal":1,"at":"2026-11-25T21:14:07Z","what":"commit"}""",
            $$"""{"journal":1,"at":"2026-11-25T21:14:07Z","what":"commit","note":"{{new string('x', 70_000)}}"}""",
            new string('[', 70_000), "\0\0\0", $"{Entry(2)}") + "\n");
        var read = Read();
        read.Entries.Select(entry => entry.Step).ShouldBe([1, 2]);
        read.Damaged.Select(problem => problem.Where!.Line).ShouldBe(Enumerable.Range(2, 14).Select(n => (int?)n));
        read.Damaged.ShouldAllBe(problem => problem.Code == Codes.JournalUnreadable && problem.Severity == Severity.Warning && problem.Where!.File == Path);
        read.Damaged[11].Message.ShouldContain("64 KB");
        // Many bad lines are counted, not listed.
        File.WriteAllText(Path, string.Concat(Enumerable.Repeat("?\n", 5000)) + Entry(3) + "\n");
        read = Read();
        read.Entries.ShouldHaveSingleItem().Step.ShouldBe(3);
        read.Damaged.Length.ShouldBe(21);
        read.Damaged[^1].Message.ShouldContain("4980");
    }

    [Fact]
    public void A_line_that_a_power_cut_left_unfinished_takes_no_other_with_it()
    {
        Journal.Append(Path, [Entry(1), Entry(2)], Soon);
        byte[] whole = File.ReadAllBytes(Path);
        int start = whole.AsSpan()[..^1].LastIndexOf((byte)'\n') + 1;
        for (int length = start; length < whole.Length; length += 7)
        {
            File.WriteAllBytes(Path, whole[..length]);
            Read().Damaged.Select(problem => problem.Where!.Line).ShouldBe(length > start ? [2] : []);
            Journal.Append(Path, [Entry(3)], Soon);
            var read = Read();
            read.Entries.Select(entry => entry.Step).ShouldBe([1, 3]);
            read.Damaged.Length.ShouldBe(length > start ? 1 : 0);
        }

        // Only the line feed is missing: the entry is whole.
        File.WriteAllBytes(Path, whole[..^1]);
        Read().Entries.Select(entry => entry.Step).ShouldBe([1, 2]);
        Journal.Append(Path, [Entry(3)], Soon);
        Read().Entries.Select(entry => entry.Step).ShouldBe([1, 2, 3]);
    }

    [Fact]
    public void Damaged_bytes_never_throw_and_never_cost_a_later_line() => Gen.Int[0, 1_000_000].Holds(seed =>
    {
        var random = new Random(seed);
        byte[] line = Encoding.UTF8.GetBytes(Entry(1, "Möwe \U0001F426.png").ToString());
        for (int n = random.Next(1, 8); n > 0; n--)
        {
            line[random.Next(line.Length)] = (byte)random.Next(256);
        }

        var (entry, why) = JournalEntry.Parse(line);
        (entry is null).ShouldBe(why.Length > 0);
        if (entry is not null)
        {
            Parsed(entry.ToString()).ShouldNotBeNull().ToString().ShouldBe(entry.ToString());
        }
    }, iter: 3000);

    [Fact]
    public void Only_what_is_wanted_is_given_and_a_journal_that_is_not_there_is_empty()
    {
        Read().Entries.ShouldBeEmpty();
        Journal.Append(Path, [.. Enumerable.Range(1, 10_005).Select(n => Entry(n))], Soon);
        Journal.Read(Path, entry => entry.Step is 4 or 9_000).Entries.Select(entry => entry.Step).ShouldBe([4, 9_000]);
        var read = Read();
        (read.Entries.Length, read.LeftOut, read.Entries[^1].Step).ShouldBe((10_000, 5, 10_005));
    }

    [Fact]
    public void A_journal_that_cannot_be_written_is_a_problem_and_stays_as_it_was()
    {
        Journal.Append(Path, [Entry(1)], Soon);
        byte[] before = File.ReadAllBytes(Path);
        using (new FileStream(Path, FileMode.Open, FileAccess.ReadWrite, FileShare.None))
        {
            Should.Throw<ProblemException>(() => Journal.Append(Path, [Entry(2)], TimeSpan.Zero)).Problems[0].Code.ShouldBe(Codes.JournalUnwritable);
        }

        File.ReadAllBytes(Path).ShouldBe(before);
        Should.Throw<ProblemException>(() => Journal.Append(folder, [Entry(2)], Soon)).Problems[0].Code.ShouldBe(Codes.JournalUnwritable);
        Should.Throw<ProblemException>(() => Journal.Append(System.IO.Path.Combine(Path, "below-a-file"), [Entry(2)], Soon)).Problems[0].Code.ShouldBe(Codes.JournalUnwritable);
        if (OperatingSystem.IsLinux())
        {
            // full(4): every write to it fails as on a full disk.
            Should.Throw<ProblemException>(() => Journal.Append("/dev/full", [Entry(2)], Soon)).Problems[0].Code.ShouldBe(Codes.JournalUnwritable);
        }
    }

    [Fact]
    public async Task A_pipe_in_its_place_is_never_waited_for()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has no pipes among files.");
        string pipe = System.IO.Path.Combine(folder, "pipe");
        await Child.RunProgram("mkfifo", pipe);
        var cancel = TestContext.Current.CancellationToken;
        var written = await Should.ThrowAsync<ProblemException>(Task.Run(() => Journal.Append(pipe, [Entry(1)], Soon), cancel).WaitAsync(TimeSpan.FromSeconds(60), cancel));
        written.Problems[0].Code.ShouldBe(Codes.JournalUnwritable);
        (await Task.Run(() => Journal.Read(pipe, _ => true), cancel).WaitAsync(TimeSpan.FromSeconds(60), cancel)).Entries.ShouldBeEmpty();
        Should.Throw<ProblemException>(() => Journal.Read(folder, _ => true)).Problems[0].Code.ShouldBe(Codes.JournalUnreadable);
    }

    [Fact]
    public void Only_its_owner_reads_a_journal_of_ones_own()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "The profile's permissions hold there.");
        Journal.Append(Path, [Entry(1)], Soon);
        if (!OperatingSystem.IsWindows())
        {
            File.GetUnixFileMode(Path).ShouldBe(UnixFileMode.UserRead | UnixFileMode.UserWrite);
        }
    }

    [Fact]
    public void The_house_says_where_the_journal_of_all_lies()
    {
        string house = System.IO.Path.Combine(folder, "house.json");
        File.WriteAllText(house, """{ "house": 1, "requireApproval": false, "journal": "press/journal.jsonl" }""");
        House.Read([folder]).Journal.ShouldBe(System.IO.Path.Combine(folder, "press", "journal.jsonl"));
        File.WriteAllText(house, """{ "house": 1, "requireApproval": false }""");
        House.Read([folder]).Journal.ShouldBeNull();
        foreach (string odd in (string[])["7", "\"\"", "null", "\"a\\u0000b\""])
        {
            File.WriteAllText(house, $$"""{ "house": 1, "requireApproval": false, "journal": {{odd}} }""");
            Should.Throw<ProblemException>(() => House.Read([folder])).Problems[0].Code.ShouldBe(Codes.BadHouse);
        }
    }
}
