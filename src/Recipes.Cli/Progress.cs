using Recipes.Hosting.Words;
using Spectre.Console;

namespace Recipes.Cli;

/// <summary>Shows on a terminal that long work goes on; silent in a pipe.</summary>
internal sealed class Progress
{
    private readonly IAnsiConsole? console;

    public Progress(bool wanted)
    {
        if (wanted && !Console.IsErrorRedirected)
        {
            console = AnsiConsole.Create(new AnsiConsoleSettings { Out = new AnsiConsoleOutput(Console.Error) });
        }
    }

    /// <summary>Does the work while a spinner says what it is.</summary>
    public T During<T>(string what, Func<T> work) => console is null ? work() : console.Status().Start(Shown(what), _ => work());

    private static string Shown(string what) => Markup.Escape(CleanText.OneLine(what));

    /// <summary>Does the work while a bar counts.</summary>
    public void Counting(string what, int total, Action<Action> work)
    {
        if (console is null)
        {
            work(() => { });
            return;
        }

        console.Progress().Start(context =>
        {
            var task = context.AddTask(Shown(what), maxValue: total);
            work(() => task.Increment(1));
        });
    }
}
