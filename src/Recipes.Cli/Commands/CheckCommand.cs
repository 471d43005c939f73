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
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

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
        return command.With("recipes check puffin.png --setup light-garment", session => Run(
            session, session.Parse.GetRequiredValue(art), session.Setup(setup), session.Parse.GetValue(original),
                GroundJson.ReadKind(session.Parse.GetValue(kind)),
            session.Parse.GetValue(output), session.Parse.GetValue(strict), session.Parse.GetValue(force)));
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

    private static Outcome Run(Session session, string artPath, string? setupOption, bool original, ArtKind? kind, string? output, bool strict, bool force)
    {
        var file = session.Shop.ReadArt(artPath);
        using var work = session.Shop.OpenWork(artPath);
        var setup = ChosenSetup.Find(setupOption, work);
        // What is advised for one setup does harm under another that would be taken without a word.
        string under = setupOption is null || setupOption == ChosenSetup.NameWithout(work) ? "" : $" --setup {ShellWord.Of(setupOption)}";
        var state = session.Shop.FindState(file, work, setup, original, WorkerPool.Usual).As(kind);
        var check = session.Progress.During("Looking", () => session.Timings.Measure("check", () => ArtCheck.Of(state)));
        var export = ExportStatus.Of(session, file, state.Provenance);
        var findings = export is { Current: false } ? check.Findings.Add(new Finding("outdated-export", export.Message, 0, null, null)) : check.Findings;
        check = check with { Findings = findings };

        var notes = state.OwnWork?.Notes ?? [];
        var fields = new JsonObject
        {
            ["art"] = ReportJson.Of(state.Identity),
            ["step"] = state.Step,
            ["setup"] = SetupJson.ToJson(setup.Setup),
            ["setupIsFallback"] = setup.IsFallback,
            ["ink"] = ReportJson.Of(check.Ink),
            ["inkBox"] = ReportJson.Of(check.InkBox),
            ["colors"] = ReportJson.Of(check.Colors, check.PrintPpi),
            ["inkEstimate"] = ReportJson.Of(check.Estimate),
            ["effectivePpi"] = Math.Round(check.EffectivePpi, 2),
            ["printPpi"] = Math.Round(check.PrintPpi, 2),
            ["platenPpi"] = Math.Round(check.PlatenPpi, 2),
            ["kind"] = GroundJson.KindWord(check.Ground.Kind),
            ["ground"] = GroundJson.Of(check.Ground),
            ["questions"] = ReportJson.Of(check.Questions),
            ["decided"] = ReportJson.Of(check.Decided),
            ["findings"] = ReportJson.Of(check.Findings),
            ["regionCount"] = check.EnclosedWhiteCount,
            ["regions"] = new JsonArray([.. check.EnclosedWhites.Regions.Select(ReportJson.Of)]),
            ["export"] = export?.ToJson(),
            ["notes"] = NoteCommand.Of(notes),
            ["outputs"] = new JsonObject { ["report"] = output is null ? null : Path.Combine(output, "check.html") },
        };
        if (output is not null)
        {
            string page = Path.Combine(output, "check.html");
            // A check.html of an earlier check is ours; anything else by that name needs force.
            if (!force && File.Exists(page) && !IsOurs(page, artPath))
            {
                throw AtomicFile.Exists(page);
            }

            AtomicFile.CreateFolder(output);
            AtomicFile.Write(page, stream => CheckPage.Write(stream, state.Identity, setup, check, state.Art.Flat, PngWriter.Encode, state.Step));
        }

        fields["milliseconds"] = session.Timings.ToJson();
        List<Problem> problems = [.. RunProblems.Fallback(setup)];
        if (strict && check.Findings.Length > 0)
        {
            problems.Insert(0, new Problem(Codes.StrictFindings, $"The check found {(check.Findings.Length == 1 ? "one thing" : $"{check.Findings.Length} things")}: {string.Join(", ", check.Findings.Select(finding => finding.Code))}.",
                "Mend them with the recipes named, or check without --strict.", new Place(artPath)));
        }

        var outcome = new Outcome(fields, text =>
        {
            text.WriteLine($"{artPath}{(state.Step > 0 ? $", at step {state.Step}" : "")}, setup {setup.Setup.Name}");
            if (ScantInk.In(check) is { } scant)
            {
                text.WriteLine($"  {scant.Message}");
            }

            NoteCommand.Write(text, notes);
            RunText.Art(text, state.Identity, setup.Setup);
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

            if (check.EnclosedWhites.Regions.Length > 0)
            {
                RunText.Regions(text, check.EnclosedWhites, check.PrintPpi, decided: false);
                if (check.EnclosedWhiteCount > check.EnclosedWhites.Regions.Length)
                {
                    text.WriteLine(string.Create(CultureInfo.InvariantCulture, $"    Of {check.EnclosedWhiteCount:N0} regions the {check.EnclosedWhites.Regions.Length:N0} largest are listed."));
                }
            }

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
            if (output is not null)
            {
                text.WriteLine($"Look at {Path.Combine(output, "check.html")}.");
            }
        })
        {
            Problems = problems,
        };
        return outcome.TellFirst(state);
    }
}

/// <summary>Whether an exported file still shows the current state of the art that it came from.</summary>
/// <param name="From">What the file says of itself.</param>
/// <param name="Current">True or false; null where the art or its work file isn't there to compare with.</param>
/// <param name="Message">The answer in words.</param>
internal sealed record ExportStatus(Provenance From, bool? Current, string Message)
{
    public static ExportStatus? Of(Session session, ArtFile file, string? provenance)
    {
        if (Provenance.Read(provenance) is not { } from)
        {
            return null;
        }

        string what = $"step {from.Step} of {from.Art}, setup {from.Setup}";
        // The name comes from a stranger's file: only a path seen from its own folder is looked at, and what lies there only answers yes or no.
        string? artPath = Path.IsPathRooted(from.Art) ? null : OutsideJson.PathFrom(Path.GetDirectoryName(Path.GetFullPath(file.Path))!, from.Art);
        try
        {
            using var work = artPath is null ? null : WorkFile.Open(WorkPath.Of(artPath, session.Shop.WorkFolder), forWriting: false);
            return work is null
                ? new ExportStatus(from, null, $"This file was exported from {what}; its work file isn't there to compare with.")
                : Of(file, from, work, what);
        }
        catch (ProblemException)
        {
            return new ExportStatus(from, null, $"This file was exported from {what}; its work file can't be read to compare with.");
        }
    }

    private static ExportStatus Of(ArtFile file, Provenance from, WorkFile work, string what)
    {
        if (work.Original.Sha256 != from.ArtSha256)
        {
            return new ExportStatus(from, false, $"This file was exported from {what}, but the art there is another one now.");
        }

        var line = work.Line(from.Setup);
        if (line.Head != from.Step || ArtState.HashOf(from.ArtSha256, line, line.Head) != from.StateSha256)
        {
            return new ExportStatus(from, false, $"This file was exported from {what}, and is outdated: the art is at step {line.Head} now. Export it again.");
        }

        // What a file says of itself proves nothing about its pixels; the work file remembers the bytes that were written.
        return line.Exports.Any(export => export.Step == from.Step && export.Sha256 == file.Sha256)
            ? new ExportStatus(from, true, $"This file was exported from {what}, and is still current.")
            : new ExportStatus(from, false, $"This file says that it was exported from {what}, but the work file remembers no export with these bytes: it was changed since. Export it again.");
    }

    public JsonObject ToJson() => new()
    {
        ["art"] = From.Art, ["artSha256"] = From.ArtSha256, ["setup"] = From.Setup, ["step"] = From.Step, ["current"] = Current, ["message"] = Message,
    };
}
