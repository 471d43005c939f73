using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary><c>check</c>: what will print, what won't, and which recipe mends what was found.</summary>
internal static class CheckCommand
{
    public static Command Create()
    {
        var art = Options.Art();
        var setup = Options.Setup();
        var original = Options.Original();
        var output = new Option<string?>("--out") { Description = "Also write check.html into DIR", HelpName = "DIR" };
        var kind = Options.Kind();
        var strict = new Option<bool>("--strict") { Description = "End with exit code 6 where anything was found" };
        var force = Options.Force();
        var command = new Command(
            "check", "Shows what prints and what stays bare, and what may go wrong") { art, setup, Options.Garment, original, kind, output, strict, force };
        return command.With("recipes check puffin.png --setup light-garment", session =>
        {
            var parse = session.Parse;
            string artPath = parse.GetRequiredValue(art);
            string? named = session.Setup(setup), folder = parse.GetValue(output);
            return CheckedArt.Look(session.Shop, session.Art(artPath, setup, original) with { Kind = GroundJson.ReadKind(parse.GetValue(kind)) }, seen =>
            {
                if (folder is not null)
                {
                    WritePage(seen, folder, parse.GetValue(force));
                }

                // What is advised for one setup does harm under another that would be taken without a word.
                string under = named is null || named == seen.UsualSetup ? "" : $" --setup {ShellWord.Of(named)}";
                var strictly = parse.GetValue(strict) ? Strict(seen) : null;
                return new Outcome(Fields(session, seen, folder), text => Write(text, seen, folder, under))
                {
                    Problems = [.. Session.Warnings(strictly), .. RunProblems.Fallback(seen.Chosen)],
                }.TellFirst(seen.State);
            });
        });
    }

    private static string InWords(Ground ground) => ground.Kind switch
    {
        ArtKind.CutOut => "cut out: alpha says what is outside, and opaque white is art",
        ArtKind.OnPaper => $"on paper, {ground.Paper}",
        ArtKind.FullFrame => "full frame: the picture runs off on all sides",
        _ => $"mixed: partly on paper, {ground.Paper}, and partly running off",
    };

    // A page names its art in the title; a name that HTML writes otherwise only means that --force is asked for.
    private static bool IsOurs(string page, string artPath)
    {
        try
        {
            var head = new char[65536];
            using var reader = new StreamReader(page);
            return new string(head, 0, reader.ReadBlock(head)).Contains($"<title>Check: {Path.GetFileName(artPath)}</title>", StringComparison.Ordinal);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }

    private static void WritePage(CheckedArt seen, string folder, bool force)
    {
        string page = Path.Combine(folder, "check.html");
        // A check.html of an earlier check is ours; anything else by that name needs force.
        if (!force && File.Exists(page) && !IsOurs(page, seen.State.File.Path))
        {
            throw AtomicFile.Exists(page);
        }

        AtomicFile.CreateFolder(folder);
        var (state, chosen, check, _) = seen;
        AtomicFile.Write(page, stream => CheckPage.Write(stream, state.Identity, chosen, check, state.Art.Flat, PngWriter.Encode, state.Step));
    }

    private static Problem? Strict(CheckedArt seen)
    {
        var findings = seen.Check.Findings;
        return findings.IsEmpty ? null : new Problem(
            Codes.StrictFindings,
            $"The check found {(findings.Length == 1 ? "one thing" : $"{findings.Length} things")}: "
                + $"{string.Join(", ", findings.Select(finding => finding.Code))}.",
            "Mend them with the recipes named, or check without --strict.", new Place(seen.State.File.Path));
    }

    private static JsonObject Fields(Session session, CheckedArt seen, string? folder)
    {
        var fields = CheckJson.Of(seen);
        fields["outputs"] = new JsonObject { ["report"] = folder is null ? null : Path.Combine(folder, "check.html") };
        fields["milliseconds"] = session.Timings.ToJson();
        return fields;
    }

    private static void Write(TextWriter text, CheckedArt seen, string? folder, string under)
    {
        var (state, chosen, check, export) = seen;
        string artPath = state.File.Path;
        text.WriteLine($"{artPath}{(state.Step > 0 ? $", at step {state.Step}" : "")}, setup {chosen.Setup.Name}");
        if (ScantInk.In(check) is { } scant)
        {
            text.WriteLine($"  {scant.Message}");
        }

        NoteCommand.Write(text, seen.Notes);
        RunText.Art(text, state.Identity, chosen.Setup);
        string resampled = ResolutionInWords.Resampled(state.Art.Ground.Scale, check.PrintPpi);
        text.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"  size      {check.EffectivePpi:0.#} pixels per printed inch{(resampled.Length > 0 ? $" {resampled}" : "")}: "
                + $"{state.Art.Width / check.PrintPpi:0.00} x {state.Art.Height / check.PrintPpi:0.00} in; "
                + $"{check.PlatenPpi:0.#} where it fills the platen"));
        text.WriteLine($"  kind      {InWords(check.Ground)}");
        RunText.Ink(text, check.Ink);
        if (check.InkBox is { } box)
        {
            text.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"  ink box   {box}: {box.Width / check.PrintPpi:0.00} x {box.Height / check.PrintPpi:0.00} in"));
        }

        RunText.MainColors(text, check.Colors, check.PrintPpi);
        if (check.Estimate is { } estimate)
        {
            text.WriteLine($"  estimate  {estimate.InWords()}");
        }

        WriteRegions(text, check);
        if (export is not null)
        {
            text.WriteLine($"  export    {export.Message}");
        }

        text.WriteLine(check.Findings.Length == 0 ? "Nothing found." : "Found:");
        foreach (var finding in check.Findings)
        {
            string advice = finding.Recipe is null ? "" : $" Try: recipes dry-run {finding.Typed(artPath)}{under}";
            text.WriteLine($"  {finding.Code}: {finding.Message}{advice}");
        }

        RunText.Questions(text, [.. check.Questions, .. check.Decided], question =>
            $"recipes dry-run {question.Recipe} {ShellWord.Of(artPath)} --set {question.Setting(ofList: false)}{under}");
        if (folder is not null)
        {
            text.WriteLine($"Look at {Path.Combine(folder, "check.html")}.");
        }
    }

    private static void WriteRegions(TextWriter text, ArtCheck check)
    {
        var listed = check.EnclosedWhites;
        if (listed.Regions.Length == 0)
        {
            return;
        }

        RunText.Regions(text, listed, check.PrintPpi, decided: false);
        if (check.EnclosedWhiteCount > listed.Regions.Length)
        {
            text.WriteLine($"    Of {Numeral.Of(check.EnclosedWhiteCount)} regions the {Numeral.Of(listed.Regions.Length)} largest are listed.");
        }
    }
}
