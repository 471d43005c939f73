using System.CommandLine;
using System.CommandLine.Help;
using System.Runtime.InteropServices;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using Recipes.Cli.Commands;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Serilog;

namespace Recipes.Cli;

/// <summary>The command line: reads it, runs one command, and tells the result on one channel for people and one for scripts.</summary>
internal static class Program
{
    private static readonly JsonSerializerOptions Json = new() { WriteIndented = true, NewLine = "\n", Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    private static int Main(string[] args)
    {
        Console.OutputEncoding = new UTF8Encoding(encoderShouldEmitUTF8Identifier: false);
        var root = CommandLine();
        // A leading @ is an ordinary character of a file name, not a list of further arguments.
        var parse = root.Parse(args, new ParserConfiguration { ResponseFileTokenReplacer = null });
        bool json = parse.GetValue(Options.Json);
        if (args.Length == 0)
        {
            // Whoever types the name alone wants to know what it does; a script that lost its command must not pass for done.
            root.Parse("--help").Invoke();
            return (int)ExitCode.Usage;
        }

        if (parse.Errors.Count > 0)
        {
            return Tell(json, parse, new Outcome([], _ => { }) { Problems = [UsageProblem(parse)] });
        }

        return parse.Invoke(new InvocationConfiguration { EnableDefaultExceptionHandler = false, ProcessTerminationTimeout = null });
    }

    /// <summary>All commands.</summary>
    internal static RootCommand CommandLine()
    {
        var root = new RootCommand("Makes customers' artwork print right on cloth: recipes that are tried, seen, kept and undone.")
        {
            Options.Json, Options.Quiet, Options.Verbose, Options.Work,
            CheckCommand.Create(), DryRunCommand.Create(), CommitCommand.Create(), UndoCommand.Create(), RedoCommand.Create(),
            HistoryCommand.Create(), CarryOverCommand.Create(),
            CompareCommand.Create(), ExportCommand.Create(), PreviewCommand.Create(), TicketCommand.Create(),
            PrintedCommand.Create(), NoteCommand.Create(), RunCommand.Create(),
            ChartCommand.Create(), MatchCommand.Create(), GangCommand.Create(),
            ListCommand.Create(), ShowCommand.Create(), SetupsCommand.Create(), GarmentsCommand.Create(),
            NewCommand.Create(), TestCommand.Create(), KeysCommand.Create(), ApproveCommand.Create(),
            PackCommand.Create(), AddCommand.Create(), UpdateCommand.Create(),
            DeskCommand.Create(), DocsCommand.Create(), DoctorCommand.Create(), DemoCommand.Create(), CompletionCommand.Create(),
        };
        foreach (var help in root.Options.OfType<HelpOption>())
        {
            help.Action = new HelpWithExample((HelpAction)help.Action!);
        }

        return root;
    }

    /// <summary>Makes a command of its work: a session, one outcome, one exit code, whatever happens.</summary>
    internal static Command With(this Command command, string example, Func<Session, Outcome> work)
    {
        HelpWithExample.Examples.AddOrUpdate(command, example);
        command.SetAction(parse => Run(parse, work));
        return command;
    }

    /// <summary>Makes a command that starts another program, which tells the rest itself.</summary>
    internal static Command WithProgram(this Command command, string example, Func<ParseResult, int> run)
    {
        HelpWithExample.Examples.AddOrUpdate(command, example);
        command.SetAction(run);
        return command;
    }

    private static int Run(ParseResult parse, Func<Session, Outcome> work)
    {
        bool json = parse.GetValue(Options.Json), quiet = parse.GetValue(Options.Quiet);
        using var log = Logging.Start(parse.GetValue(Options.Verbose));
        using var cancel = new CancellationTokenSource();
        using var interrupt = PosixSignalRegistration.Create(PosixSignal.SIGINT, Stop);
        using var terminate = PosixSignalRegistration.Create(PosixSignal.SIGTERM, Stop);
        Outcome outcome;
        try
        {
            outcome = work(new Session(parse, new TerminalProgress(!json && !quiet), TimeProvider.System, cancel.Token));
        }
        catch (ProblemException e)
        {
            Log.Debug(e, "The command ended with a problem");
            outcome = new Outcome([], _ => { }) { Problems = e.Problems };
        }
        catch (Exception e) when (e is OperationCanceledException or AggregateException { InnerException: OperationCanceledException })
        {
            outcome = Ended(new Problem(Codes.Interrupted, "Interrupted.", "Nothing was changed."));
        }
        catch (AggregateException e) when (e.Flatten().InnerExceptions.OfType<ProblemException>().FirstOrDefault() is { } inner)
        {
            outcome = new Outcome([], _ => { }) { Problems = inner.Problems };
        }
#pragma warning disable CA1031 // The last resort: a fault of our own ends with a sentence and a log entry, never a stack trace.
        catch (Exception e)
#pragma warning restore CA1031
        {
            Log.Error(e, "A fault of the program");
            outcome = Ended(new Problem(Codes.Fault, $"A fault of the program: {CleanText.Line(e.Message, 300)}",
                Logging.File is { } file ? $"Please report it with {file}." : "Please report it; --verbose shows more."));
        }

        try
        {
            return Tell(json, parse, outcome, quiet);
        }
#pragma warning disable CA1031 // As above: making the answer's text is part of the command.
        catch (Exception e)
#pragma warning restore CA1031
        {
            Log.Error(e, "A fault of the program");
            return Tell(json, parse,
                Ended(new Problem(Codes.Fault, $"A fault of the program: {CleanText.Line(e.Message, 300)}", "Please report it; --verbose shows more.")), quiet);
        }

        void Stop(PosixSignalContext context)
        {
            context.Cancel = true;
            cancel.Cancel();
        }

        static Outcome Ended(Problem problem) => new([], _ => { }) { Problems = [problem] };
    }

    // Text is made whole before any of it is written: a fault in making it must not leave half an answer.
    internal static int Tell(bool json, ParseResult parse, Outcome outcome, bool quiet = false)
    {
        string output, errors = "";
        if (json)
        {
            var problems = outcome.Problems.Concat(outcome.First).ToList();
            output = CleanText.Json(ReportJson.Answer(CommandName(parse), outcome.Exit, problems, outcome.Fields).ToJsonString(Json)) + "\n";
        }
        else
        {
            using var text = new AnswerText();
            if (!quiet)
            {
                foreach (var first in outcome.First)
                {
                    text.WriteLine(first.Message);
                    text.WriteLine($"  {first.Hint}");
                }

                outcome.Human(text);
            }

            // Names and notes may come from strangers' files; nothing of them may steer the terminal.
            output = CleanText.Visible(text.ToString());
            errors = string.Concat(outcome.Problems.Where(problem => !quiet || problem.Severity == Severity.Error)
                .Select(problem => $"{CleanText.OneLine(problem.ToString())}\n{(problem.Hint.Length > 0 ? $"  {CleanText.OneLine(problem.Hint)}\n" : "")}"));
        }

        try
        {
            Console.Out.Write(output);
            Console.Out.Flush();
            Console.Error.Write(errors);
            return (int)outcome.Exit;
        }
        catch (IOException e)
        {
            // Nobody reads any more, or the disk behind the pipe is full; the work itself is done or was never begun.
            Log.Debug(e, "The answer couldn't be written");
            return (int)ExitCode.Output;
        }
    }

    private static string CommandName(ParseResult parse)
    {
        var names = new List<string>();
        for (var result = parse.CommandResult; result is { Command: not RootCommand }; result = result.Parent as System.CommandLine.Parsing.CommandResult)
        {
            names.Insert(0, result.Command.Name);
        }

        return string.Join(' ', names);
    }

    private static Problem UsageProblem(ParseResult parse)
    {
        string message = string.Join(" ", parse.Errors.Select(error => error.Message).Distinct());
        var command = parse.CommandResult.Command;
        string? typed = parse.UnmatchedTokens is [var first, ..] ? first : null;
        if (command is RootCommand && typed is not null && Names.IsRecipe(typed))
        {
            string words = string.Join(' ', parse.UnmatchedTokens.Select(ShellWord.Of)), art = parse.UnmatchedTokens.Count == 1 ? " ART" : "";
            return new Problem(Codes.BadUsage, $"'{CleanText.Line(typed, 80)}' is a recipe, not a command.", $"Try it with: recipes dry-run {words}{art}");
        }

        IEnumerable<string> known = command.Subcommands.Select(sub => sub.Name)
            .Concat(command.Options.Select(option => option.Name))
            .Concat(new[] { Options.Json, Options.Quiet, Options.Verbose }.Select(option => option.Name)).Append(Options.Work.Name);
        string help = $"'recipes {CommandName(parse)}".TrimEnd() + " --help' shows what it takes.";
        return new Problem(Codes.BadUsage, CleanText.Line(message, 400),
            typed is not null && Suggestion.For(typed, known) is { } near ? $"Did you mean '{near}'? {help}" : help);
    }
}
