/**
 * Runs tasks side by side and gives their results in the order of the tasks, each as soon as its turn comes.
 *
 * At most `atOnce` tasks are begun and not yet taken: a slow reader of the results slows the reading of the tasks, so a
 * list of a million needs the memory of a few. A task that has not come yet holds up no result that is there.
 *
 * @param tasks - may be endless; is read no further than needed
 * @param run - must not reject: what goes wrong with one task is a result like others
 */
export async function* inOrder<Task, Result>(
  tasks: AsyncIterable<Task> | Iterable<Task>,
  run: (task: Task) => Promise<Result>,
  atOnce: number,
): AsyncGenerator<Result> {
  const source = iteratorOf(tasks)
  const begun: Promise<Result>[] = []
  let coming: Promise<IteratorResult<Task>> | undefined
  let ended = false
  while (!ended || begun.length > 0) {
    if (!ended && coming === undefined && begun.length < atOnce) coming = source.next()
    const isNext = begun.length > 0 && (coming === undefined || (await firstOf(begun[0]!, coming)))
    if (isNext) {
      yield await begun.shift()!
      continue
    }
    const { done, value } = await coming!
    coming = undefined
    if (done === true) ended = true
    else begun.push(run(value))
  }
}

function iteratorOf<T>(items: AsyncIterable<T> | Iterable<T>): AsyncIterator<T> {
  if (Symbol.asyncIterator in items) return items[Symbol.asyncIterator]()
  const plain = items[Symbol.iterator]()
  return { next: async () => plain.next() }
}

/** Whether the first of two settles before the second. */
function firstOf(first: Promise<unknown>, second: Promise<unknown>): Promise<boolean> {
  return Promise.race([first.then(() => true), second.then(() => false)])
}
