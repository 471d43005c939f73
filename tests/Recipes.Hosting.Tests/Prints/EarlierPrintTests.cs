using Recipes.Hosting.Arts;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Tests.Work;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Tickets;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tests.Prints;

/// <summary>What a repeat has to know of the last print, and what is noted on the art.</summary>
public sealed class EarlierPrintTests : IDisposable
{
    private readonly string folder = Sample.Folder();
    private readonly WorkFile work;

    public EarlierPrintTests() => work = WorkFile.Create(Path.Combine(folder, "harbor-run.png.work"), Sample.Original, Sample.Noise(0, 20, 10));

    public void Dispose()
    {
        work.Dispose();
        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public void Only_the_last_print_under_the_same_setup_counts_and_a_good_one_ends_it()
    {
        EarlierPrint.LastBad(work, "a").ShouldBeNull();
        work.RecordPrint("a", Sample.Print(0, good: false));
        EarlierPrint.LastBad(work, "a")!.Print.IsGood.ShouldBeFalse();
        EarlierPrint.LastBad(work, "b").ShouldBeNull();
        work.RecordPrint("b", Sample.Print(0));
        EarlierPrint.LastBad(work, "a").ShouldNotBeNull();
        work.RecordPrint("a", Sample.Print(0));
        EarlierPrint.LastBad(work, "a").ShouldBeNull();
        work.RecordPrint("a", Sample.Print(0, good: false) with { Cause = "rim" });
        EarlierPrint.LastBad(work, "a")!.Print.Cause.ShouldBe("rim");
    }

    // The art's bytes under another name, or under another setup, as the journal has them: what counts is the last print under this setup,
    // then the last of all.
    [Fact]
    public void The_same_bytes_are_known_under_another_name_and_another_setup()
    {
        var copy = new ArtFile("orders/puffin-2.png", [], work.Original.Sha256);
        JournalEntry[] journal = [Noted("puffin.png", "a", "good", 1), Noted("puffin.png", "a", "bad", 2), Noted("puffin.png", "a", "bad", 3, 'f')];
        var bad = EarlierPrint.LastBad(copy, null, "a", journal).ShouldNotBeNull();
        (bad.Art, bad.OtherSetup, bad.Print.At.Minute).ShouldBe(("puffin.png", false, 2));
        bad.Warning("orders/puffin-2.png").Message.ShouldBe("The last print of this art, then called puffin.png, under a was bad: rim "
            + "(a pale or dark rim shows around the art), 2026-05-04 10:02 UTC, by night-shift: seen");
        bad.WhyInWords().ShouldStartWith("as puffin.png under a, rim");
        EarlierPrint.LastBad(copy, null, "b", journal).ShouldNotBeNull().Warning("x.png").Message.ShouldContain("under a was bad");
        // A later good one ends it, under this setup; under another one only where it is the last of all.
        EarlierPrint.LastBad(copy, null, "a", [.. journal, Noted("third.png", "a", "good", 4)]).ShouldBeNull();
        EarlierPrint.LastBad(copy, null, "a", [.. journal, Noted("third.png", "b", "good", 4)]).ShouldNotBeNull();
        EarlierPrint.LastBad(copy, null, "b", [.. journal, Noted("third.png", "b", "good", 4)]).ShouldBeNull();
        // Other bytes of the same name, and what is no print, say nothing.
        EarlierPrint.LastBad(new ArtFile("puffin.png", [], new string('0', 64)), null, "a", journal).ShouldBeNull();
        EarlierPrint.LastBad(copy, null, "a", [Noted("puffin.png", "a", "bad", 2) with { Act = JournalAct.Export }]).ShouldBeNull();
    }

    [Fact]
    public void The_work_file_tells_of_its_other_setups()
    {
        var own = new ArtFile("harbor-run.png", [], work.Original.Sha256);
        work.RecordPrint("a", Sample.Print(0, good: false));
        var bad = EarlierPrint.LastBad(own, work, "b", []).ShouldNotBeNull();
        (bad.Art, bad.Setup, bad.OtherSetup).ShouldBe((null, "a", true));
        work.RecordPrint("b", Sample.Print(0) with { At = Sample.Noon.AddMinutes(1) });
        EarlierPrint.LastBad(own, work, "b", []).ShouldBeNull();
        EarlierPrint.LastBad(own, work, "a", []).ShouldNotBeNull().OtherSetup.ShouldBeFalse();
    }

    private JournalEntry Noted(string name, string setup, string result, int minute, char hash = ' ') => new()
    {
        At = Sample.Noon.AddMinutes(minute), Act = JournalAct.Print, Setup = setup,
        Art = new JournalFile(name, hash == ' ' ? work.Original.Sha256 : new string(hash, 64)),
        Step = 1, Result = result, Cause = result == "bad" ? "rim" : null, Note = "seen", By = "night-shift",
    };

    // Noon at two hours east of Greenwich is 10:00 UTC.
    [Fact]
    public void It_says_why_when_by_whom_and_what_was_noted()
    {
        var bad = new EarlierPrint("black-shop", Sample.Print(2, good: false, "left of the sail") with { Cause = "dust", By = "night-shift" });
        bad.WhyInWords().ShouldBe("dust (near-white background printed as dust around the art), 2026-05-04 10:00 UTC, by night-shift: left of the sail");
        var warning = bad.Warning("harbor run.png");
        (warning.Code, warning.Severity, warning.Where).ShouldBe((Codes.LastPrintBad, Severity.Warning, new Place("harbor run.png")));
        warning.Message.ShouldStartWith("The last print of this art under black-shop was bad: dust (");
        warning.Hint.ShouldBe(
            "What helps: recipes dry-run clean-background 'harbor run.png'. A good print ends this: recipes printed 'harbor run.png' --result good.");
        // A cause of another shop's list, and none.
        (bad with { Print = bad.Print with { Cause = "lint", By = null, Note = "" } }).WhyInWords().ShouldBe("lint, 2026-05-04 10:00 UTC");
        (bad with { Print = bad.Print with { Cause = null } }).WhyInWords().ShouldBe("2026-05-04 10:00 UTC, by night-shift: left of the sail");
    }

    [Fact]
    public void What_others_wrote_stays_one_short_line()
    {
        string hostile = "a\nb\u202E\u001b[2J" + new string('x', 3000);
        string said = new EarlierPrint(hostile, Sample.Print(0, good: false, hostile) with { By = hostile }).Warning("a.png").Message;
        said.Length.ShouldBeLessThan(500);
        said.ShouldAllBe(c => !char.IsControl(c) && c != '\u202E');
        string note = ArtNotes.InWords(new ArtNote(hostile, hostile, Sample.Noon));
        note.Length.ShouldBeLessThan(700);
        note.ShouldAllBe(c => !char.IsControl(c) && c != '\u202E');
    }

    [Theory]
    [InlineData("the customer wants the beak brighter", "the customer wants the beak brighter")]
    [InlineData("  two\r\nlines\t ", "two  lines")]
    [InlineData("", null)]
    [InlineData(" \n ", null)]
    public void A_note_is_one_clean_line(string text, string? kept)
    {
        if (kept is null)
        {
            Sample.ShouldStopWith(() => ArtNotes.Read(text), Codes.BadUsage);
        }
        else
        {
            ArtNotes.Read(text).ShouldBe(kept);
        }
    }

    [Fact]
    public void A_note_is_bounded_as_it_is_shown()
    {
        ArtNotes.Read(new string('x', 500)).Length.ShouldBe(500);
        Sample.ShouldStopWith(() => ArtNotes.Read(new string('x', 501)), Codes.BadUsage);
        // A hidden character is shown by its escape, which is longer.
        Sample.ShouldStopWith(() => ArtNotes.Read(new string('\u202E', 500)), Codes.BadUsage);
    }

    [Fact]
    public void Notes_on_another_file_are_not_this_file_s()
    {
        work.AddNote(Sample.Note);
        var same = new ArtFile("harbor-run.png", [], work.Original.Sha256);
        ArtNotes.Of(same, work).ShouldBe([Sample.Note]);
        var other = new ArtFile("harbor-run.png", [], new string('0', 64));
        Sample.ShouldStopWith(() => ArtNotes.Of(other, work), Codes.ArtChanged);
        Sample.ShouldStopWith(() => ArtNotes.Add(new Shop { Clock = TimeProvider.System }, other, "", work, Sample.Note), Codes.ArtChanged);
        work.Notes.Length.ShouldBe(1);
    }
}
